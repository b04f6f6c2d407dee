"""Certificates: send a file, mend it, take its lots over."""

from __future__ import annotations

import uuid
from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused
from gristwright.files.certificates import lots_table
from gristwright.stages.grist.certificate_units import fields
from gristwright.store.library import lot_records, lots_by_key
from gristwright.store.models import CertificateFile
from gristwright.workbench import certificates, faults, remembering, starting, taking, undoing
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.explaining import FORGOTTEN, HEADING, METHOD, Explained
from gristwright.workbench.export import csv_file, download
from gristwright.workbench.lots_listed import CHIEF, listed
from gristwright.workbench.mending import Place, Typed, place_of
from gristwright.workbench.paging import leaf
from gristwright.workbench.turns import in_turn
from gristwright.workbench.views.enquiries import UNTIDY, get_enquiry


def list_certificates(request: HttpRequest, key: uuid.UUID, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    """The lots of an enquiry, the files they came from, and a form to send another."""
    enquiry = get_enquiry(key)
    files = enquiry.certificate_files.select_related("sent_by", "standing").defer("received", "content")
    kept = leaf(list(lots_by_key(enquiry).items()), request.GET, "lots")
    lots = listed(dict(kept), timezone.localdate())
    context = {"enquiry": enquiry, "page": "certificates", "files": leaf(files, request.GET, "files"), "lots": lots,
               "kept": kept, "chief": CHIEF,
               "steps": undoing.steps_of(enquiry), "problems": problems}  # fmt: skip
    return render(request, "desk/certificates.html", context, status=UNTIDY if problems else 200)


@require_POST
def send_file(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Keep files as they came; one alone is shown as it was read, of several the list says how each stands."""
    enquiry = get_enquiry(key)
    try:
        sent = starting.sent_files(request.FILES.getlist("file"))
    except Refused as refused:
        return list_certificates(request, key, refused.problems)
    kept: list[CertificateFile] = []
    problems: list[Problem] = []
    for name, content in sent.items():
        try:
            kept.append(certificates.receive(enquiry, name, content, request.user))
        except Refused as refused:
            problems += refused.problems
    if problems:
        for file in kept:
            messages.success(request, f"{file.name} was kept.")
        return list_certificates(request, key, tuple(problems))
    if len(kept) == 1:
        return redirect("certificate_file", enquiry.pk, kept[0].pk)
    messages.success(request, f"{len(kept)} files sent and read; each stands below with what is left to do.")
    return redirect("certificates", enquiry.pk)


def show_file(
    request: HttpRequest, key: uuid.UUID, file_key: uuid.UUID, problems: tuple[Problem, ...] = ()
) -> HttpResponse:
    """How a file was read: headings, faults cell by cell, lots."""
    file = get_object_or_404(CertificateFile, pk=file_key, enquiry_id=key)
    sheet = certificates.read(file)
    asked = taking.questions(file.enquiry, [lot.lot for lot in sheet.lots], request.POST.dict())
    context = {
        "enquiry": get_enquiry(key),
        "page": "certificates",
        "file": file,
        "sheet": sheet,
        "questions": [one for one in asked if one.here],
        "nothing_new": all(one.known for one in asked),
        "titles": {name: field.title for name, field in fields().items()},
        "steps": undoing.steps_of(file.enquiry, file),
        "problems": problems,
    }
    return render(request, "desk/certificate_file.html", context, status=UNTIDY if problems else 200)


@require_POST
def mend_file(request: DeskRequest, key: uuid.UUID, file_key: uuid.UUID) -> HttpResponse:
    """Change cells and say what headings mean; the file as it came is kept beside."""
    file = get_object_or_404(CertificateFile, pk=file_key, enquiry_id=key)
    try:
        said, stood = _said(request)
        done, remarks = certificates.mend(file, _typed(request), request.user.get_username(), said, stood)
    except Refused as refused:
        return show_file(request, key, file_key, refused.problems)
    messages.success(request, f"{done} mended and read again." if done else "Nothing was changed.")
    for problem in remarks:
        messages.warning(request, faults.sentence(problem))
    return redirect("certificate_file", key, file_key)


def _typed(request: HttpRequest) -> dict[Place, Typed]:
    """The cells of the form with what stood in each when the page was shown; a cell of two faults has two fields."""
    typed = {}
    for name in request.POST:
        place = place_of(name.removeprefix("cell.")) if name.startswith("cell.") else None
        if place:
            seen = request.POST.get(f"was.{place.key}")
            fields = [Typed(text, seen) for text in request.POST.getlist(name)]
            typed[place] = next((one for one in fields if seen is None or one.over(seen)), fields[-1])
    return typed


def _said(request: HttpRequest) -> tuple[list[Explained], dict[tuple[str, str], str] | None]:
    """Words somebody explained in the form: what kind of word each is, the word, what it means; and what each meant
    when the page was shown, None where the form does not say.
    """
    words, means = request.POST.getlist("heading"), request.POST.getlist("means")
    kinds = request.POST.getlist("what") or [HEADING] * len(words)
    stood = request.POST.getlist("stood")
    lines = [Explained(what, word, text.strip()) for what, word, text in zip(kinds, words, means, strict=False)]
    # A method may be asked beside a fault, too: the field that says one goes before the one left empty.
    lines.sort(key=lambda one: one.what == METHOD and bool(one.means))
    # A method taken out of its field is taken back; other fields left empty say nothing.
    said = [replace(one, means=one.means or FORGOTTEN) for one in lines if one.means or one.what == METHOD]
    if len(stood) != len(words):
        return said, None
    seen: dict[tuple[str, str], str] = {}
    for what, word, text in zip(kinds, words, stood, strict=False):
        seen[what, word] = text or seen.get((what, word), "")
    return [one for one in said if one.means != (seen[one.what, one.word] or FORGOTTEN)], seen


@require_POST
def take_file(request: DeskRequest, key: uuid.UUID, file_key: uuid.UUID) -> HttpResponse:
    """The lots of a sound file added to those of the enquiry, as the form says where one is here already."""
    file = get_object_or_404(CertificateFile, pk=file_key, enquiry_id=key)
    try:
        done = taking.add(file, request.POST.dict(), request.user.get_username())
    except Refused as refused:
        return show_file(request, key, file_key, refused.problems)
    for sentence in done:
        messages.success(request, sentence)
    return redirect("certificates", key)


def give_file(request: HttpRequest, key: uuid.UUID, file_key: uuid.UUID) -> HttpResponse:
    """The file as it is read now, mended cells and all."""
    file = get_object_or_404(CertificateFile, pk=file_key, enquiry_id=key)
    return download(file.name.replace('"', ""), bytes(file.content), "application/octet-stream")


def give_lots(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """The lots as CSV that can be read in again."""
    heads, *rows = lots_table(lot_records(get_enquiry(key)))
    return csv_file("lots.csv", heads, rows)


@in_turn
def show_remembered(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """What is remembered of suppliers' words, to be changed or deleted."""
    enquiry = get_enquiry(key)
    if request.method == "POST":
        means, seen = (_of_lines(request, start) for start in ("means.", "was."))
        done, stays = remembering.revise(means, request.POST.getlist("delete"), request.user.get_username(), seen)
        for sentence in done:
            messages.success(request, sentence)
        for sentence in stays:
            messages.warning(request, sentence)
        return redirect(request.get_full_path())
    kept = leaf(remembering.rows(), request.GET)
    lines = [(row, remembering.explained(row)) for row in kept]
    context = {"enquiry": enquiry, "page": "certificates", "leaf": kept, "lines": lines}
    return render(request, "desk/remembered.html", context)


def _of_lines(request: HttpRequest, start: str) -> dict[str, str]:
    """The fields of the form that begin so, by the number of their line."""
    return {name.removeprefix(start): str(text) for name, text in request.POST.items() if name.startswith(start)}
