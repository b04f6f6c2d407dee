"""The customer's pages of an answer in the other languages: drawn for a draft, frozen with what is issued.

See docs/desk.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from gristwright.documents.customer import printed
from gristwright.documents.dossier import Drawn, pdf_of
from gristwright.documents.dossier_html import desk_page_of
from gristwright.store.frozen import sha256
from gristwright.store.models import Answer, InOtherLanguage, Papers
from gristwright.store.models.enquiries import LANGUAGES
from gristwright.workbench.as_frozen import check, drawn_of, of_this_release

PAGES = "customer_pages"


@dataclass(frozen=True)
class Tongue:
    """A language in which the page of an answer can be had."""

    key: str
    title: str
    own: bool  # the enquiry's


def tongues_of(answer: Answer, view: Mapping[str, Any]) -> tuple[Tongue, ...]:
    """The languages of an answer, its own first; none where nothing can be chosen, as of what earlier releases left."""
    if PAGES not in view:
        return ()
    own = view[PAGES]["language"]
    others = set(InOtherLanguage.objects.filter(papers__answer=answer).values_list("language", flat=True))
    if view["issue"] and view["issue"]["state"] == "draft" and of_this_release(view):
        others = {key for key, _ in LANGUAGES}
    found = [Tongue(key, title, key == own) for key, title in LANGUAGES if key in {own, *others}]
    return tuple(sorted(found, key=lambda one: not one.own)) if len(found) > 1 else ()


def page_in(answer: Answer, language: str) -> SafeString:
    """The page of an answer in a language that is not its own. Raises Refused when it is not the one frozen."""
    kept = _kept(answer, language)
    if kept is not None:
        check(kept.shown, kept.shown_sha256)
        return mark_safe(kept.shown)
    return mark_safe(_page(drawn_of(answer), language))


def pdf_in(answer: Answer, language: str) -> bytes:
    """The PDF that was frozen in a language; empty where there is none. Raises Refused when it is not that one."""
    kept = _kept(answer, language)
    if kept is None:
        return b""
    check(bytes(kept.pdf), kept.pdf_sha256)
    return bytes(kept.pdf)


def printed_in_others(papers: Papers, paper: Drawn) -> list[InOtherLanguage]:
    """What is issued in every other language too, to be kept with its papers."""
    if PAGES not in paper.data:
        return []
    return [
        _printed_in(papers, paper, language) for language, _ in LANGUAGES if language != paper.data[PAGES]["language"]
    ]


def _printed_in(papers: Papers, paper: Drawn, language: str) -> InOtherLanguage:
    pdf, shown = pdf_of(paper, language=language), _page(paper, language)
    prints = {"pdf_sha256": sha256(pdf), "shown_sha256": sha256(shown)}
    return InOtherLanguage(papers=papers, language=language, pdf=pdf, shown=shown, **prints)


def _page(paper: Drawn, language: str) -> str:
    said = replace(paper, data=printed(paper.data, language))
    return desk_page_of(said.data, said.pictures)


def _kept(answer: Answer, language: str) -> InOtherLanguage | None:
    return InOtherLanguage.objects.filter(papers__answer=answer, language=language).first()
