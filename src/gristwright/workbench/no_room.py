"""A disk that takes nothing more, or a turn that never came: a page that says so and keeps what was typed.

See docs/desk.md.
"""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from gristwright.basics import Problem
from gristwright.store.trouble import LOCKED, WORDS, trouble
from gristwright.workbench.way_back import page_of


class NoRoom:
    """Answers a request that the disk or the database stopped; what it had changed is taken back."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """The answer of the page."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        """The page that says what is in the way; None for a fault of ours."""
        told = trouble(fault)
        return page(request, told) if told else None


def page(request: HttpRequest, told: Problem) -> HttpResponse:
    """What is in the way, and what was typed, to be sent again."""
    sent = request.method == "POST"
    fields = request.POST.lists() if sent else ()
    typed = [(name, text) for name, texts in fields if not secret(name) for text in texts]
    said = {
        "told": told.sentence(),
        "sent": sent,
        "typed": typed,
        "files": bool(sent and request.FILES),
        "back": page_of(request),
    }
    full = told.what not in WORDS[LOCKED]
    status = HTTPStatus.INSUFFICIENT_STORAGE if full else HTTPStatus.SERVICE_UNAVAILABLE
    return render(request, "507.html", said, status=status)


def secret(name: str) -> bool:
    """Whether a field is written on no page."""
    return name == "csrfmiddlewaretoken" or "password" in name
