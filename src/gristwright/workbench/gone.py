"""A row deleted in the middle of a request, by another window: told as what is not here, no fault. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Callable

from django.core.exceptions import ObjectDoesNotExist
from django.db import DatabaseError, models
from django.http import HttpRequest, HttpResponse
from django.views.defaults import page_not_found

from gristwright.store.models import Answer, CertificateFile, EnquiryRow, Job, LotStep, NamedLot
from gristwright.store.trouble import trouble

# The rows that addresses name, by the words that urls.py has for their keys.
ROWS: dict[str, type[models.Model]] = {
    "key": EnquiryRow, "file_key": CertificateFile, "lot_key": NamedLot, "answer_key": Answer, "job_key": Job,
    "step_key": LotStep,
}  # fmt: skip
WORDS = ("did not affect any rows", "FOREIGN KEY constraint failed")


class Gone:
    """Answers a request whose row went between reading and writing; a page that was only looked at is made anew."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """The answer of the page."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        """That it is not here, or the page anew; None for a fault of another kind."""
        if trouble(fault):
            return None
        if _named_is_gone(request):
            return page_not_found(request, fault)
        if not _is_of_a_gone_row(fault):
            return None
        return page_not_found(request, fault) if request.method == "POST" else _anew(request)


def _named_is_gone(request: HttpRequest) -> bool:
    """Whether a row that the address names is not there any more."""
    named = request.resolver_match.kwargs if request.resolver_match else {}
    return any(not ROWS[word].objects.filter(pk=key).exists() for word, key in named.items() if word in ROWS)  # type: ignore[attr-defined]


def _is_of_a_gone_row(fault: Exception) -> bool:
    told = isinstance(fault, DatabaseError) and any(words in str(fault) for words in WORDS)
    return told or isinstance(fault, ObjectDoesNotExist)


def _anew(request: HttpRequest) -> HttpResponse | None:
    """The page as it is now; None where that fails too, so that a row that leads nowhere is found as damaged."""
    match = request.resolver_match
    try:
        return match.func(request, *match.args, **match.kwargs) if match else None
    except Exception:
        return None
