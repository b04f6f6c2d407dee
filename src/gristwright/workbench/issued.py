"""Answers: worked out as drafts, issued by somebody's decision, superseded or withdrawn by another. See docs/desk.md.

Everything shown or given of them was frozen once and is checked against its fingerprint each time.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Collection
from typing import TYPE_CHECKING, Any, TypedDict

from django.contrib.auth.models import User
from django.db.models import BooleanField, Case, CharField, F, Func, JSONField, QuerySet, Value, When
from django.db.models.fields.json import KT
from django.db.models.functions import Cast, Coalesce
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from gristwright.basics import Problem, Refused, at
from gristwright.documents.dossier import Drawn, as_draft, as_issued, pdf_of
from gristwright.documents.dossier_html import desk_page_of, html_of
from gristwright.documents.render import data_json
from gristwright.store.frozen import sha256
from gristwright.store.models import Answer, AnswerStep, EnquiryRow, Job, Papers
from gristwright.store.models.work import Decision
from gristwright.workbench import tongues
from gristwright.workbench.as_frozen import check, drawn_of, of_this_release
from gristwright.workbench.turns import refuse_if_gone, turn

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

# What earlier releases left is shown on the page they had.
EARLIER = "desk/answer_body.html"
HEAVY = ("inputs", "view", "drawn", "shown", "papers__view", "papers__pdf", "papers__page", "papers__shown")


class Printed(TypedDict):
    """What the papers of an answer print of it; the day is empty while it is a draft."""

    issued_on: str
    fingerprint: str


def clock(when: Any) -> str:
    """A moment on the clock of this machine, as a person reads it."""
    local = timezone.localtime(when)
    return f"{local.day} {local:%B %Y, %H:%M}"


def answers_of(enquiry: EnquiryRow) -> QuerySet[WithAnnotations[Answer, Printed]]:
    """The answers of an enquiry without their texts, each with the day `issued_on` and the `fingerprint` it prints."""
    light = enquiry.answers.select_related("papers").defer(*HEAVY)
    said = light.alias(said=Cast("view", JSONField()), paper=Cast("papers__view", JSONField()))
    digest = Coalesce(KT("said__fingerprint"), KT("said__provenance__inputs_digest"))
    return said.annotate(
        issued_on=_where_whole("papers__view", KT("paper__issued__text")), fingerprint=_where_whole("view", digest)
    )


def _where_whole(column: str, value: Any) -> Case:
    """A value out of a text that is JSON; of another nothing, and the list is shown all the same."""
    whole = Func(F(column), function="json_valid", output_field=BooleanField())
    return Case(When(whole, then=value), default=Value(""), output_field=CharField())


def standing(answer: Answer) -> str:
    """How an answer stands: a draft, or what was decided last."""
    last = list(answer.decisions.all())[-1:]
    return str(last[0].kind) if last else "draft"


# Worked out and kept


def draft_of(job: Job, found: Drawn, text: str) -> Answer:
    """What a search found, as a draft that is to be kept."""
    now = timezone.now()
    by = job.asked_by.get_username() if job.asked_by else ""
    ready = as_draft(found, by, clock(now))
    view, all_of_it = data_json(ready.data).decode(), ready.as_text()
    shown = desk_page_of(ready.data, ready.pictures)
    return Answer(
        enquiry=job.enquiry,
        job=job,
        inputs=text,
        inputs_sha256=sha256(text),
        view=view,
        view_sha256=sha256(view),
        drawn=all_of_it,
        drawn_sha256=sha256(all_of_it),
        shown=shown,
        shown_sha256=sha256(shown),
        made_by=job.asked_by,
        made_at=now,
    )


def alike(enquiry: EnquiryRow, inputs_sha256: str, members: int) -> Answer | None:
    """The answer that a search of these inputs on so many draws would find again; None where there is none.

    One that holds no more, or a draft that can no longer be issued, stands in the way of none.
    """
    found = enquiry.answers.filter(inputs_sha256=inputs_sha256, job__members=members)
    return next((answer for answer in found if _stands_or_may(answer)), None)


def _stands_or_may(answer: Answer) -> bool:
    now = standing(answer)
    return now == Decision.ISSUED or (now == "draft" and of_this_release(Drawn.of_text(answer.drawn).data))


# Decided


def issue(answer: Answer, by: User, who: str, note: str, instead_of: Collection[str] = ()) -> None:
    """Issue a draft: its papers are printed with the day and kept; answers it takes the place of are superseded.

    They are printed before its turn, for others wait for that; what somebody else decided meanwhile stands.

    Raises Refused for one that is no draft, that another release worked out, or without a name.
    """
    _decide(answer, {"draft"}, who)
    ready = drawn_of(answer)
    if not of_this_release(ready.data):
        what = "was worked out by another release, which prints otherwise."
        raise Refused([Problem("This draft", what, "Find bills again and issue that answer.")])
    now = timezone.now()
    paper = as_issued(ready, timezone.localtime(now).date(), who, clock(now), note)
    papers = _printed(answer, paper)
    in_others = tongues.printed_in_others(papers, paper)
    with turn():
        _decide(_as_it_is(answer), {"draft"}, who)
        for row in (papers, *in_others):
            row.save()
        AnswerStep.objects.create(answer=answer, kind=Decision.ISSUED, who=who, note=note, by=by, at=now)
        named = {str(key) for key in instead_of}
        here = [key for key in answer.enquiry.answers.values_list("pk", flat=True) if str(key) in named]
        for other in answer.enquiry.answers.filter(pk__in=here):
            if standing(other) == Decision.ISSUED:
                told = f"The answer issued {clock(now)} takes its place."
                AnswerStep.objects.create(answer=other, kind=Decision.SUPERSEDED, who=who, note=told, by=by, at=now)


def _as_it_is(answer: Answer) -> Answer:
    """An answer with what was decided of it by now; asked inside a turn. Raises Refused for one that was deleted."""
    refuse_if_gone(answer)
    return Answer.objects.defer(*HEAVY[:4]).get(pk=answer.pk)


def _printed(answer: Answer, paper: Drawn) -> Papers:
    """The papers of an answer, to be kept."""
    texts = {
        "view": data_json(paper.data).decode(),
        "page": html_of(paper.data, paper.pictures),
        "shown": desk_page_of(paper.data, paper.pictures),
    }
    pdf = pdf_of(paper)
    prints = {f"{name}_sha256": sha256(text) for name, text in texts.items()}
    return Papers(answer=answer, **texts, **prints, pdf=pdf, pdf_sha256=sha256(pdf))


@turn()
def withdraw(answer: Answer, by: User, who: str, note: str) -> None:
    """Say of an issued answer that it holds no more, and why. Raises Refused."""
    missing = [] if note else [Problem(at("Note"), "is empty.", "Say why the answer holds no more.")]
    _decide(_as_it_is(answer), {Decision.ISSUED, Decision.SUPERSEDED}, who, missing)
    AnswerStep.objects.create(answer=answer, kind=Decision.WITHDRAWN, who=who, note=note, by=by)


@turn()
def discard(answer: Answer) -> None:
    """Delete a draft. Raises Refused for an answer that was issued, which stays."""
    _decide(_as_it_is(answer), {"draft"}, "nobody need be named")
    answer.delete()


def _decide(answer: Answer, allowed: Collection[str], who: str, problems: list[Problem] | None = None) -> None:
    now = standing(answer)
    said = list(problems or [])
    if now not in allowed:
        said.append(Problem("This answer", f"is {now} already.", "Load the page anew to see how it stands."))
    if not who:
        said.append(Problem(at("Name of who decides"), "is empty.", "Give the name of who decides it."))
    if said:
        raise Refused(said)


# Shown and given


def view_of(answer: Answer) -> dict[str, Any]:
    """The view of an answer, as it was issued or as it is drafted. Raises Refused when the text is not the one kept."""
    kept = _kept(answer)
    check(kept.view, kept.view_sha256)
    view = json.loads(kept.view)
    assert isinstance(view, dict)
    # What was issued before answers had a fingerprint prints that of its inputs.
    return {"fingerprint": view["provenance"]["inputs_digest"], "issue": None, **view}


def page_of(answer: Answer) -> SafeString:
    """The page of an answer as it was frozen. Raises Refused when it is not the one that was."""
    kept = _kept(answer)
    check(kept.shown, kept.shown_sha256)
    return mark_safe(kept.shown)


def file_of(answer: Answer, kind: str) -> bytes:
    """The dossier as a file, empty where there is none, as of a draft. Raises Refused when it is not the one issued."""
    papers = Papers.objects.filter(answer=answer).first()
    if papers is None:
        return b""
    kept: dict[str, tuple[bytes | str, str]] = {
        "pdf": (bytes(papers.pdf), papers.pdf_sha256),
        "json": (papers.view, papers.view_sha256),
        "html": (papers.page, papers.page_sha256),
    }
    content, fingerprint = kept[kind]
    if content or fingerprint:
        check(content, fingerprint)
    return content.encode() if isinstance(content, str) else content


def _kept(answer: Answer) -> Answer | Papers:
    """What of an answer is shown: its papers once it was issued, its draft before."""
    return Papers.objects.defer("pdf", "page").filter(answer=answer).first() or answer


# What earlier releases left


def drawn_earlier(papers: Papers) -> str:
    """The page of an answer that an earlier release issued without one, to be frozen."""
    return render_to_string(EARLIER, {"view": view_of(papers.answer), "answer": papers})


def freeze_earlier() -> int:
    """Freeze the page of every answer that has none, as earlier releases left them; how many there were.

    The one place where something is added to an answer that stands. Where the view is not the one that was issued
    there is nothing to draw it from.
    """
    without = Papers.objects.filter(shown_sha256="").values_list("pk", flat=True)
    return sum(_frozen(key) for key in list(without))


def _frozen(key: uuid.UUID) -> bool:
    papers = Papers.objects.defer("pdf", "page").select_related("answer").get(pk=key)
    try:
        page = drawn_earlier(papers)
    except Refused:
        return False
    return Papers.objects.filter(pk=key, shown_sha256="").update(shown=page, shown_sha256=sha256(page)) == 1
