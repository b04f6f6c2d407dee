"""One lot: its certificate, typing it in, deleting it; lots of other enquiries; undoing what was done to lots."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import replace

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused, at
from gristwright.documents.certificate import lot_sheet
from gristwright.records.lot import Lot
from gristwright.stages.grist.certificate_units import fields
from gristwright.store.library import lot_of, lot_record
from gristwright.store.models import EnquiryRow, LotStep, LotVersion, NamedLot
from gristwright.workbench import deleting, faults, taking, typing_in, undoing
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.hanging import hanging
from gristwright.workbench.lot_form import TypedLot, one_more
from gristwright.workbench.meanwhile import CLASH
from gristwright.workbench.paging import leaf
from gristwright.workbench.turns import in_turn
from gristwright.workbench.views.enquiries import UNTIDY, get_enquiry


def named_lot(enquiry_key: uuid.UUID, lot_key: uuid.UUID) -> NamedLot:
    """The lot of an address with its certificate, whatever it is called now, or a 404."""
    kept = NamedLot.objects.select_related("version").exclude(version=None)
    return get_object_or_404(kept, pk=lot_key, enquiry_id=enquiry_key)


def show_lot(request: HttpRequest, key: uuid.UUID, lot_key: uuid.UUID) -> HttpResponse:
    """A lot's certificate whole, what is to be minded of it, and what goes along when it is deleted."""
    enquiry = get_enquiry(key)
    named = named_lot(key, lot_key)
    along = hanging(enquiry).told(str(named.pk))
    sheet = lot_sheet(lot_record(named), {}, timezone.localdate())
    context = {"enquiry": enquiry, "page": "certificates", "lot_key": lot_key, "lot": sheet, "along": along,
               "seen": _mark(named)}  # fmt: skip
    return render(request, "desk/lot_page.html", context)


@require_POST
@in_turn
def delete_lot(request: DeskRequest, key: uuid.UUID, lot_key: uuid.UUID) -> HttpResponse:
    """The lot deleted with what hangs on it; the page after it offers to undo that."""
    enquiry = get_enquiry(key)
    named = named_lot(key, lot_key)
    if _moved_on(request, named):
        messages.warning(
            request, f"{named.name} was changed meanwhile and was not deleted. It stands here as it is now."
        )
        return redirect("lot", key, lot_key)
    messages.success(request, deleting.delete(enquiry, named.name, request.user.get_username()))
    return redirect("certificates", key)


def _mark(named: NamedLot) -> str:
    """What a lot as it is named and certified now is known by to a form."""
    return f"{named.version_id} {named.name}"


def _moved_on(request: HttpRequest, named: NamedLot) -> bool:
    """Whether a lot is another one than the form that was sent had shown."""
    return request.POST.get("seen", _mark(named)) != _mark(named)


def _what_moved_on(request: HttpRequest, named: NamedLot, now: Lot) -> Problem:
    """What somebody else changed since the form was shown, from what to what."""
    number, _, name = request.POST["seen"].partition(" ")
    version = LotVersion.objects.filter(pk=int(number)).first() if number.isdecimal() else None
    changed = taking.Here(lot_of(name, version.document), now).changed if version else ""
    renamed = f"It is called {now.lot_id} now, not {name}. " if name != now.lot_id else ""
    told = f"was changed meanwhile. {renamed}{changed}".strip()
    return Problem(at(now.lot_id), told, "Nothing was saved. Save again if what you typed shall stand instead.")


@require_POST
def undo_step(request: DeskRequest, key: uuid.UUID, step_key: uuid.UUID) -> HttpResponse:
    """Undo what was done to lots; what stays is told with the way out."""
    step = get_object_or_404(LotStep, pk=step_key, enquiry_id=key)
    done, stays = undoing.undo(step, request.user.get_username())
    for sentence in done:
        messages.success(request, f"Undone: {sentence}")
    for sentence in stays:
        messages.warning(request, sentence)
    return redirect("certificates", key)


@in_turn
def type_lot(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """A lot typed in, begun with nothing or as a copy of another."""
    enquiry, copied = get_enquiry(key), request.GET.get("copy")
    if request.method != "POST":
        blank = replace(_copied(key, copied), lot_id="", lot_number="") if copied else None
        return _typed_page(request, enquiry, TypedLot(lot=blank), None)
    return _typed(request, enquiry, None)


def _copied(key: uuid.UUID, copied: str) -> Lot:
    """The lot that is to be copied, or a 404."""
    try:
        return lot_record(named_lot(key, uuid.UUID(copied)))
    except ValueError:
        raise Http404(copied) from None


@in_turn
def edit_lot(request: DeskRequest, key: uuid.UUID, lot_key: uuid.UUID) -> HttpResponse:
    """A lot changed in the form in which one is typed in."""
    enquiry, named = get_enquiry(key), named_lot(key, lot_key)
    before = lot_record(named)
    if request.method != "POST":
        return _typed_page(request, enquiry, TypedLot(lot=before), before, seen=_mark(named))
    if _moved_on(request, named):
        against = ((_what_moved_on(request, named, before),), ())
        typed = TypedLot(request.POST, before)
        return _typed_page(request, enquiry, typed, before, against, CLASH, seen=_mark(named))
    return _typed(request, enquiry, before)


def _typed(request: DeskRequest, enquiry: EnquiryRow, before: Lot | None) -> HttpResponse:
    """One line more, or what was typed kept."""
    if "more" in request.POST:
        return _typed_page(request, enquiry, one_more(request.POST), before)
    return _kept(request, enquiry, TypedLot(request.POST, before), before)


def _kept(request: DeskRequest, enquiry: EnquiryRow, typed: TypedLot, before: Lot | None) -> HttpResponse:
    """The lot kept, or the page again with what is wrong and what is asked."""
    lot, who = typed.lot(), request.user.get_username()
    if lot is None:
        return _typed_page(request, enquiry, typed, before, status=UNTIDY)
    if before is None:
        try:
            done = typing_in.add_typed(enquiry, lot, request.POST.dict(), who)
        except Refused as refused:
            asked = taking.questions(enquiry, [lot], request.POST.dict(), taking.FORM)
            return _typed_page(request, enquiry, typed, None, (refused.problems, asked), UNTIDY)
    elif lot.lot_id != before.lot_id and enquiry.named.filter(name=lot.lot_id).exists():
        typed.head.add_error("name", f"“{lot.lot_id}” is the name of another lot here. Give it another one.")
        return _typed_page(request, enquiry, typed, before, status=UNTIDY)
    else:
        done = (typing_in.change(enquiry, before, lot, who),) if lot != before else ("Nothing was changed.",)
    return _told(request, enquiry, done, lot)


def _told(request: HttpRequest, enquiry: EnquiryRow, done: Sequence[str], lot: Lot) -> HttpResponse:
    for said in done:
        messages.success(request, said)
    for problem in lot_sheet(lot, {}, timezone.localdate()).problems:
        messages.warning(request, f"To mind: {faults.sentence(problem)}")
    return redirect("certificates", enquiry.pk)


def _typed_page(
    request: HttpRequest,
    enquiry: EnquiryRow,
    typed: TypedLot,
    before: Lot | None,
    asked: tuple[tuple[Problem, ...], tuple[taking.Question, ...]] = ((), ()),
    status: int = 200,
    seen: str = "",
) -> HttpResponse:
    faulty = bool(typed.head.is_bound and (typed.head.errors or typed.lines.total_error_count()))
    units = {name: list(field.units) for name, field in fields().items()}
    context = {"enquiry": enquiry, "page": "certificates", "typed": typed, "before": before, "problems": asked[0],
               "questions": [one for one in asked[1] if one.here], "faulty": faulty, "units": units,
               "seen": seen or request.POST.get("seen", "")}  # fmt: skip
    return render(request, "desk/lot_form.html", context, status=status)


def _asked(
    enquiry: EnquiryRow, chosen: Sequence[typing_in.Elsewhere], request: HttpRequest
) -> tuple[taking.Question, ...]:
    """What is asked of the chosen ones; nothing while one of them cannot be read."""
    try:
        return taking.questions(enquiry, typing_in.lots_of(chosen), request.POST.dict(), taking.OTHER)
    except Refused:
        return ()


@in_turn
def take_elsewhere(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Lots of the other enquiries of this desk, chosen and taken into this one."""
    enquiry = get_enquiry(key)
    find = str((request.POST or request.GET).get("find", ""))
    offered = typing_in.elsewhere(enquiry, find)
    sent = request.POST.getlist("lot")
    chosen = [one for one in offered if str(one.key) in sent]
    problems: tuple[Problem, ...] = ()
    if request.method == "POST" and chosen:
        try:
            done = typing_in.add_elsewhere(enquiry, chosen, request.POST.dict(), request.user.get_username())
        except Refused as refused:
            problems = refused.problems
        else:
            for said in done:
                messages.success(request, said)
            return redirect("certificates", key)
    elif request.method == "POST":
        problems = (Problem(at("lots"), "none is chosen.", "Choose those to be taken into this enquiry."),)
    asked = () if problems and not chosen else _asked(enquiry, chosen, request)
    shown = leaf([*chosen, *(one for one in offered if one not in chosen)], request.GET)
    context = {"enquiry": enquiry, "page": "certificates", "offered": shown, "find": find, "problems": problems,
               "chosen": [one.key for one in chosen], "questions": [one for one in asked if one.here]}  # fmt: skip
    return render(request, "desk/lots_elsewhere.html", context, status=UNTIDY if problems else 200)
