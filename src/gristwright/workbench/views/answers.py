"""Finding bills, following and stopping the search, and the answers it left."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused, refuse_if_any
from gristwright.casework import recommend
from gristwright.files.texts import text_problems
from gristwright.records.bill import WHOLE
from gristwright.store.frozen import inputs_text, sha256
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_problems, enquiry_record
from gristwright.store.models import Answer, EnquiryRow, Job
from gristwright.store.models.work import Decision, Kind
from gristwright.workbench import asked_bills, issued, jobs, tongues
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.export import download
from gristwright.workbench.paging import ON_A_PAGE, leaf
from gristwright.workbench.views.brewing import tried_name
from gristwright.workbench.views.enquiries import UNTIDY, get_whole

KINDS = {
    "pdf": ("application/pdf", "dossier.pdf"),
    "json": ("application/json", "dossier.json"),
    "html": ("text/html; charset=utf-8", "dossier.html"),
}


def list_answers(
    request: HttpRequest, key: uuid.UUID, problems: tuple[Problem, ...] = (), untouched: tuple[str, ...] = ()
) -> HttpResponse:
    """The search under way and every answer; `untouched` are lots that may be anything, asked about before a search."""
    enquiry = get_whole(key)
    context = {
        "enquiry": enquiry,
        "page": "answers",
        "job": enquiry.jobs.filter(kind=Kind.SEARCH).first(),
        **_listed(request, enquiry),
        "draws": jobs.DRAWS,
        "members": _draws(request),
        "untouched": untouched,
        "asked": asked_bills.asked_bills(enquiry),
        "tried": tried_name(enquiry) if enquiry.brews else "",
        "problems": problems or tuple(enquiry_problems(enquiry)),
    }
    return render(request, "desk/answers.html", context, status=UNTIDY if problems else 200)


def _listed(request: HttpRequest, enquiry: EnquiryRow) -> dict[str, Any]:
    """A page of the answers, each with how it stands, and whether the enquiry says what it said then."""
    answers = leaf(
        issued.answers_of(enquiry).select_related("job", "made_by").prefetch_related("decisions"), request.GET
    )
    now = _inputs_now(enquiry) if answers else ""
    lines = [
        {
            "answer": answer,
            "stands": issued.standing(answer),
            "last": next(iter(reversed(answer.decisions.all())), None),
            "same": answer.inputs_sha256 == now,
        }
        for answer in answers
    ]
    return {"answers": lines, "leaf": answers}


def _inputs_now(enquiry: EnquiryRow) -> str:
    """The fingerprint of the enquiry as it stands, nothing when it is not complete."""
    try:
        return sha256(inputs_text(enquiry_record(enquiry), lot_records(enquiry)))
    except Refused:
        return ""


@require_POST
def find_bills(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Ask for a search, unless it is too large, would find what is found already, or may look at anything at all."""
    enquiry = get_whole(key)
    try:
        asked = enquiry_record(enquiry)
        refuse_if_any([*filter(None, [recommend.too_many(asked), recommend.too_heavy(asked, _draws(request))])])
        known = issued.alike(enquiry, sha256(inputs_text(asked, lot_records(enquiry))), _draws(request))
        if known is not None:
            told = (
                f"The same question on as many draws was answered {issued.clock(known.made_at)}. This is that answer."
            )
            messages.info(request, told)
            return redirect("answer", enquiry.pk, known.pk)
        untouched = tuple(one.lot_id for one in asked.offered if (one.least_parts, one.most_parts) == (0, WHOLE))
        # The range of a single one follows from those of the others.
        if len(untouched) > 1 and "sure" not in request.POST:
            return list_answers(request, key, untouched=untouched)
        jobs.ask(enquiry, _draws(request), request.user)
    except Refused as refused:
        return list_answers(request, key, refused.problems)
    return redirect("answers", enquiry.pk)


def _draws(request: HttpRequest) -> int:
    """How many draws were asked for; the usual number when none was chosen."""
    sent = request.POST.get("draws", "")
    return next((draws for draws in jobs.DRAWS if str(draws) == sent), jobs.DRAWS[0])


def follow_job(request: HttpRequest, key: uuid.UUID, job_key: uuid.UUID) -> HttpResponse:
    """How far a search is; the page is sent anew once it has ended."""
    job = get_object_or_404(Job, pk=job_key, enquiry_id=key)
    response = render(request, "desk/job.html", {"enquiry": job.enquiry, "job": job})
    if not job.open:
        response.headers["HX-Refresh"] = "true"
    return response


@require_POST
def stop_job(request: HttpRequest, key: uuid.UUID, job_key: uuid.UUID) -> HttpResponse:
    """Ask a search to stop."""
    jobs.stop(get_object_or_404(Job, pk=job_key, enquiry_id=key))
    messages.success(request, "The search was asked to stop.")
    return redirect("answers", key)


def show_answer(request: DeskRequest, key: uuid.UUID, answer_key: uuid.UUID) -> HttpResponse:
    """An answer as it was frozen, in the frame of the desk with what can be done with it; in a language of its own."""
    return _shown(request, _answer(key, answer_key), language=request.GET.get("language", ""))


def _answer(key: uuid.UUID, answer_key: uuid.UUID) -> Answer:
    answers = Answer.objects.defer("inputs").select_related("enquiry").prefetch_related("decisions")
    return get_object_or_404(answers, pk=answer_key, enquiry_id=key)


@require_POST
def decide(request: DeskRequest, key: uuid.UUID, answer_key: uuid.UUID) -> HttpResponse:
    """Issue a draft, withdraw an answer, or delete a draft."""
    answer, said = _answer(key, answer_key), request.POST
    who, note = said.get("who", "").strip(), said.get("note", "").strip()
    try:
        refuse_if_any([*text_problems(who, "Name of who decides"), *text_problems(note, "Note")])
        if "discard" in said:
            issued.discard(answer)
            messages.success(request, "The draft was deleted.")
            return redirect("answers", key)
        if "withdraw" in said:
            issued.withdraw(answer, request.user, who, note)
            messages.success(request, "The answer was withdrawn. It stays here, marked as such.")
        else:
            issued.issue(answer, request.user, who, note, said.getlist("instead_of"))
            messages.success(request, "The answer was issued. Its papers are below.")
    except Refused as refused:
        typed = {"who": who, "note": note}
        return _shown(request, _answer(key, answer_key), UNTIDY, problems=refused.problems, typed=typed)
    return redirect("answer", key, answer_key)


def give_answer(request: DeskRequest, key: uuid.UUID, answer_key: uuid.UUID, kind: str) -> HttpResponse:
    """The dossier as a file; a draft has none."""
    answer = _answer(key, answer_key)
    try:
        content, view = issued.file_of(answer, kind), issued.view_of(answer)
    except Refused as refused:
        return _shown(request, answer, UNTIDY, problems=refused.problems)
    if not content:
        raise Http404
    told, name = KINDS[kind]
    return download(f"{view['issued']['iso']}-{name}", content, told)


def give_in_language(request: DeskRequest, key: uuid.UUID, answer_key: uuid.UUID, language: str) -> HttpResponse:
    """The PDF with the customer's pages in another language, as it was frozen with what was issued."""
    answer = _answer(key, answer_key)
    try:
        content, view = tongues.pdf_in(answer, language), issued.view_of(answer)
    except Refused as refused:
        return _shown(request, answer, UNTIDY, problems=refused.problems)
    if not content:
        raise Http404
    return download(f"{view['issued']['iso']}-dossier-{language}.pdf", content, "application/pdf")


def _shown(request: DeskRequest, answer: Answer, status: int = 200, language: str = "", **more: Any) -> HttpResponse:
    context: dict[str, Any] = {
        "enquiry": answer.enquiry,
        "page": "answers",
        "answer": answer,
        "stands": issued.standing(answer),
        "decisions": answer.decisions.all(),
        "typed": {"who": answer.enquiry.adviser or request.user.get_username(), "note": ""},
        "others": _in_force(answer),
    }
    try:
        context |= _in_language(answer, language)
    except Refused as refused:
        status, context["problems"] = UNTIDY, refused.problems
    return render(request, "desk/answer.html", context | more, status=status)


def _in_language(answer: Answer, language: str) -> dict[str, Any]:
    """What of an answer a page shows, in its own language unless another is asked for that it can be had in."""
    view = issued.view_of(answer)
    found = tongues.tongues_of(answer, view)
    other = next((one for one in found if one.key == language and not one.own), None)
    body = tongues.page_in(answer, language) if other else issued.page_of(answer)
    chosen = other or next(iter(found), None)
    return {"view": view, "body": body, "tongues": found, "tongue": chosen}


def _in_force(answer: Answer) -> list[Any]:
    """The newest other answers of the enquiry that are issued and neither superseded nor withdrawn."""
    others = issued.answers_of(answer.enquiry).exclude(pk=answer.pk).exclude(decisions=None)
    found = others.prefetch_related("decisions").distinct()[: 4 * ON_A_PAGE]
    return [other for other in found if issued.standing(other) == Decision.ISSUED][:ON_A_PAGE]
