"""Finding bills, following and stopping the search, and the answers it left."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused
from gristwright.store.frozen import inputs_text, sha256
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_problems, enquiry_record
from gristwright.store.models import Answer, EnquiryRow, Job
from gristwright.store.models.work import Kind
from gristwright.workbench import issued, jobs
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.export import download
from gristwright.workbench.views.enquiries import UNTIDY, get_enquiry

KINDS = {
    "pdf": ("application/pdf", "dossier.pdf"),
    "json": ("application/json", "dossier.json"),
    "html": ("text/html; charset=utf-8", "dossier.html"),
}
TAMPERED = 500


def list_answers(request: HttpRequest, key: uuid.UUID, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    """The search under way and every answer issued."""
    enquiry = get_enquiry(key)
    context = {
        "enquiry": enquiry,
        "page": "answers",
        "job": enquiry.jobs.filter(kind=Kind.SEARCH).first(),
        "answers": issued.answers_of(enquiry).select_related("job", "issued_by"),
        "now": _inputs_now(enquiry),
        "draws": jobs.DRAWS,
        "problems": problems or tuple(enquiry_problems(enquiry)),
    }
    return render(request, "desk/answers.html", context, status=UNTIDY if problems else 200)


def _inputs_now(enquiry: EnquiryRow) -> str:
    """The fingerprint of the enquiry as it stands, nothing when it is not complete."""
    try:
        return sha256(inputs_text(enquiry_record(enquiry), lot_records(enquiry)))
    except Refused:
        return ""


@require_POST
def find_bills(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Ask for a search."""
    enquiry = get_enquiry(key)
    sent = request.POST.get("draws", "")
    members = int(sent) if sent.isdigit() and int(sent) in jobs.DRAWS else jobs.DRAWS[0]
    try:
        jobs.ask(enquiry, members, request.user)
    except Refused as refused:
        return list_answers(request, key, refused.problems)
    return redirect("answers", enquiry.pk)


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


def show_answer(request: HttpRequest, key: uuid.UUID, answer_key: uuid.UUID) -> HttpResponse:
    """An answer as it was issued, in the frame of the desk with what can be done with it."""
    answer = get_object_or_404(Answer.objects.defer("pdf", "page", "inputs"), pk=answer_key, enquiry_id=key)
    try:
        return _shown(request, answer, view=issued.view_of(answer), body=issued.page_of(answer))
    except Refused as refused:
        return _shown(request, answer, status=TAMPERED, problems=refused.problems)


def give_answer(request: HttpRequest, key: uuid.UUID, answer_key: uuid.UUID, kind: str) -> HttpResponse:
    """The dossier as a file."""
    answer = get_object_or_404(Answer, pk=answer_key, enquiry_id=key)
    try:
        content, view = issued.file_of(answer, kind), issued.view_of(answer)
    except Refused as refused:
        return _shown(request, answer, status=TAMPERED, problems=refused.problems)
    if not content:
        raise Http404
    told, name = KINDS[kind]
    return download(f"{view['issued']['iso']}-{name}", content, told)


def _shown(request: HttpRequest, answer: Answer, status: int = 200, **shown: object) -> HttpResponse:
    context = {"enquiry": answer.enquiry, "page": "answers", "answer": answer, **shown}
    return render(request, "desk/answer.html", context, status=status)
