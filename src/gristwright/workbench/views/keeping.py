"""An enquiry taken away as files, copied, archived, put into the bin and deleted."""

from __future__ import annotations

import re
import unicodedata
import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused
from gristwright.files.jobs_out import enquiry_files, zipped
from gristwright.reference.typeface import spelled
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import CertificateFile, EnquiryRow
from gristwright.workbench import deleting, keeping
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.export import download
from gristwright.workbench.turns import in_turn
from gristwright.workbench.views.enquiries import UNTIDY, get_enquiry, get_whole

KINDS = {"toml": "application/toml", "csv": "text/csv; charset=utf-8"}


def show_keeping(request: HttpRequest, key: uuid.UUID, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    """What can be taken away, and what can be done with the enquiry as a whole."""
    enquiry = get_whole(key)
    files, faults = _files(enquiry)
    context = {"enquiry": enquiry, "page": "keeping", "files": list(files), "faults": faults, "problems": problems,
               "answers": keeping.answers_told(enquiry)}  # fmt: skip
    return render(request, "desk/keeping.html", context, status=UNTIDY if problems else 200)


def _files(enquiry: EnquiryRow) -> tuple[dict[str, bytes], tuple[Problem, ...]]:
    """The files of an enquiry, or what keeps them from being written."""
    try:
        return enquiry_files(enquiry_record(enquiry), lot_records(enquiry)), ()
    except Refused as refused:
        return {}, tuple(refused.problems)


def give_files(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """All files of an enquiry in one ZIP; the page that says what is missing where they cannot be written."""
    enquiry = get_whole(key)
    files, faults = _files(enquiry)
    if faults:
        return show_keeping(request, key, faults)
    return download(f"{_plain(str(enquiry))}.zip", zipped(files), "application/zip")


def give_one(request: HttpRequest, key: uuid.UUID, name: str) -> HttpResponse:
    """One of the files."""
    files, faults = _files(get_whole(key))
    if faults:
        return show_keeping(request, key, faults)
    if name not in files:
        raise Http404
    return download(name.replace('"', ""), files[name], KINDS[name.rpartition(".")[2]])


def _plain(title: str) -> str:
    """A title as a name of a file that every system takes."""
    letters = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    return "-".join(re.findall(r"[A-Za-z0-9]+", letters))[:60].lower() or "enquiry"


@require_POST
@in_turn
def delete_file(request: DeskRequest, key: uuid.UUID, file_key: uuid.UUID) -> HttpResponse:
    """A certificate file deleted; its lots stay."""
    file = get_object_or_404(CertificateFile.objects.defer("received", "content"), pk=file_key, enquiry_id=key)
    messages.success(request, deleting.delete_file(file, request.user.get_username()))
    return redirect("certificates", key)


@require_POST
@in_turn
def copy_enquiry(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Another enquiry that asks the same."""
    made = keeping.copy(get_enquiry(key), request.user)
    messages.success(request, "This is the copy. Give it a title of its own; the other one stays as it is.")
    return redirect("question", made.pk)


@require_POST
@in_turn
def archive_enquiry(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Out of the first list, or back onto it."""
    enquiry, aside = get_enquiry(key), request.POST.get("aside") == "yes"
    keeping.archive(enquiry, aside)
    messages.success(request, f"{enquiry} {'is archived' if aside else 'is back on the list of open enquiries'}.")
    return redirect("keeping", key)


@require_POST
@in_turn
def bin_enquiry(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Into the bin, or out of it."""
    enquiry, aside = get_enquiry(key), request.POST.get("aside") == "yes"
    try:
        keeping.bin_(enquiry, aside)
    except Refused as refused:
        return show_keeping(request, key, refused.problems)
    messages.success(request, f"{enquiry} {'lies in the bin' if aside else 'was taken back out of the bin'}.")
    return redirect("keeping", key)


@in_turn
def delete_enquiry(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Delete for good, once the title was written and the answers were named."""
    enquiry = get_enquiry(key)
    title, with_answers = request.POST.get("title", ""), request.POST.get("answers") == "yes"
    problems: tuple[Problem, ...] = ()
    if request.method == "POST":
        try:
            keeping.delete(enquiry, title, with_answers)
            messages.success(request, f"{enquiry} was deleted.")
            return redirect("enquiries")
        except Refused as refused:
            problems = refused.problems
    context = {"enquiry": enquiry, "page": "keeping", "problems": problems, "title": title,
               "called": spelled(str(enquiry)), "answers": keeping.answers_told(enquiry)}  # fmt: skip
    return render(request, "desk/delete.html", context, status=UNTIDY if problems else 200)
