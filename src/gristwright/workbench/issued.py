"""Answers as they were issued: view, files, page of the desk; frozen once, checked each time. See docs/desk.md."""

from __future__ import annotations

import json
import uuid
from typing import TYPE_CHECKING, Any, TypedDict

from django.db.models import JSONField, QuerySet
from django.db.models.fields.json import KT
from django.db.models.functions import Cast, Coalesce
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from gristwright.basics import Problem, Refused
from gristwright.store.frozen import sha256
from gristwright.store.models import Answer, EnquiryRow

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

TAMPERED = "What is kept of this answer is not what was issued, for it does not match its fingerprint; it is not shown."
WAY_OUT = "Take it from a copy of the data folder, or ask for another answer."
BODY = "desk/answer_body.html"


class Printed(TypedDict):
    """What the papers of an answer print of it."""

    issued_on: str
    fingerprint: str


def answers_of(enquiry: EnquiryRow) -> QuerySet[WithAnnotations[Answer, Printed]]:
    """The answers of an enquiry without their texts, each with the date `issued_on` and the `fingerprint` it prints."""
    frozen = enquiry.answers.defer("view", "pdf", "page", "shown", "inputs").alias(said=Cast("view", JSONField()))
    digest = KT("said__provenance__inputs_digest")
    return frozen.annotate(issued_on=KT("said__issued__text"), fingerprint=Coalesce(KT("said__fingerprint"), digest))


def view_of(answer: Answer) -> dict[str, Any]:
    """The view of an answer. Raises Refused when the text is not the one that was issued."""
    _check(answer.view, answer.view_sha256)
    view = json.loads(answer.view)
    assert isinstance(view, dict)
    # What was issued before answers had a fingerprint prints that of its inputs.
    return {"fingerprint": view["provenance"]["inputs_digest"], **view}


def drawn(answer: Answer) -> str:
    """The page of an answer, to be frozen: without the desk's own frame, forms and addresses."""
    return render_to_string(BODY, {"view": view_of(answer), "answer": answer})


def page_of(answer: Answer) -> SafeString:
    """The page of an answer as it was frozen. Raises Refused when it is not the one that was."""
    _check(answer.shown, answer.shown_sha256)
    return mark_safe(answer.shown)


def file_of(answer: Answer, kind: str) -> bytes:
    """The dossier as a file, empty where there is none. Raises Refused when it is not the one that was issued."""
    kept: dict[str, tuple[bytes | str, str]] = {
        "pdf": (bytes(answer.pdf), answer.pdf_sha256),
        "json": (answer.view, answer.view_sha256),
        "html": (answer.page, answer.page_sha256),
    }
    content, fingerprint = kept[kind]
    if content or fingerprint:
        _check(content, fingerprint)
    return content.encode() if isinstance(content, str) else content


def freeze_earlier() -> int:
    """Freeze the page of every answer that has none, as earlier releases left them; how many there were.

    The one place where something is added to an answer that stands. Where the view is not the one that was issued
    there is nothing to draw it from.
    """
    without = Answer.objects.filter(shown_sha256="").values_list("pk", flat=True)
    return sum(_frozen(key) for key in list(without))


def _frozen(key: uuid.UUID) -> bool:
    answer = Answer.objects.defer("pdf", "page", "inputs").get(pk=key)
    try:
        page = drawn(answer)
    except Refused:
        return False
    return Answer.objects.filter(pk=key, shown_sha256="").update(shown=page, shown_sha256=sha256(page)) == 1


def _check(content: bytes | str, fingerprint: str) -> None:
    if sha256(content) != fingerprint:
        raise Refused([Problem("", TAMPERED, WAY_OUT)])
