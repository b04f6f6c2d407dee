"""One lot: its certificate, deleting it, and undoing what was done to lots."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from gristwright.documents.certificate import lot_sheet
from gristwright.records.lot import Lot
from gristwright.store.mapping import lot_records
from gristwright.store.models import EnquiryRow, LotStep
from gristwright.workbench import deleting, lot_data, undoing
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.turns import in_turn
from gristwright.workbench.views.enquiries import get_enquiry


def lot_of(enquiry: EnquiryRow, name: str) -> Lot:
    """The lot of that name, or a 404."""
    lot = next((lot for lot in lot_records(enquiry) if lot.lot_id == name), None)
    if lot is None:
        raise Http404(name)
    return lot


def show_lot(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """A lot's certificate whole, what is to be minded of it, and what goes along when it is deleted."""
    enquiry = get_enquiry(key)
    lot = lot_of(enquiry, request.GET.get("lot", ""))
    along = lot_data.hanging(enquiry).told(lot.lot_id)
    sheet = lot_sheet(lot, {}, timezone.now().date())
    context = {"enquiry": enquiry, "page": "certificates", "lot": sheet, "along": along}
    return render(request, "desk/lot_page.html", context)


@require_POST
@in_turn
def delete_lot(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """The lot deleted with what hangs on it; the page after it offers to undo that."""
    enquiry = get_enquiry(key)
    lot = lot_of(enquiry, request.POST.get("lot", ""))
    messages.success(request, deleting.delete(enquiry, lot.lot_id, request.user.get_username()))
    return redirect("certificates", key)


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
