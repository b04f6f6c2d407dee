"""The list of enquiries, starting one, and the pages on which it is filled in."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.forms import BaseInlineFormSet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused
from gristwright.store.library import name_lot
from gristwright.store.mapping import lot_names_by_key
from gristwright.store.models import BillShare, CaskVersion, EnquiryRow, Job, LotGroup, OfferedLot, PlantVersion
from gristwright.store.models.work import Kind
from gristwright.store.versions import keep, newest
from gristwright.workbench import changes, starting
from gristwright.workbench.cask_form import CaskForm
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.forms import GroupForm, GroupSet, OfferForm, OfferSet, QuestionForm, TodayForm
from gristwright.workbench.house_form import HouseForm
from gristwright.workbench.turns import in_turn

UNTIDY = 422
DOCUMENTS: dict[str, tuple[Any, Any]] = {"house": (HouseForm, PlantVersion), "cask": (CaskForm, CaskVersion)}


def get_enquiry(key: uuid.UUID) -> EnquiryRow:
    """The enquiry of an address, or a 404."""
    return get_object_or_404(EnquiryRow.objects.select_related("customer", "plant"), pk=key)


def list_enquiries(request: HttpRequest, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    """Every enquiry, and the three ways to start one."""
    searches = Prefetch("jobs", Job.objects.filter(kind=Kind.SEARCH))
    enquiries = EnquiryRow.objects.select_related("customer", "plant").prefetch_related(searches)
    status = UNTIDY if problems else 200
    return render(request, "desk/enquiries.html", {"enquiries": enquiries, "problems": problems}, status=status)


@require_POST
def start_enquiry(request: DeskRequest) -> HttpResponse:
    """A new enquiry from files, from the example, or empty."""
    way = request.POST.get("way", "")
    try:
        if way == "files":
            made = starting.from_files(starting.sent_files(request.FILES.getlist("files")), request.user)
        elif way == "example":
            made = starting.from_example(request.user)
        else:
            made = starting.empty(request.POST.get("title", ""), request.user)
            return redirect("question", made.pk)
    except Refused as refused:
        return list_enquiries(request, refused.problems)
    return redirect("bill", made.pk)


@in_turn
def edit_question(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """The question, in sections."""
    enquiry = get_enquiry(key)
    form = QuestionForm(request.POST or None, instance=enquiry)
    changed = request.method == "POST" and form.is_valid() and form.has_changed()
    if changed:
        form.save()
    return _edited(request, key, "question", form, changed)


@in_turn
def edit_document(request: DeskRequest, key: uuid.UUID, page: str) -> HttpResponse:
    """House or cask: a form in sections over its newest document; what is kept is another one."""
    enquiry = get_enquiry(key)
    kind, model = DOCUMENTS[page]
    form = kind(request.POST or None, document=newest(model, enquiry))
    changed = request.method == "POST" and form.is_valid() and keep(model, enquiry, form.document, request.user)
    return _edited(request, key, page, form, changed)


def _edited(request: HttpRequest, key: uuid.UUID, page: str, form: Any, changed: bool) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        messages.success(request, "Kept." if changed else "Nothing was changed.")
        for remark in getattr(form, "remarks", ()):
            messages.info(request, remark)
        return redirect(page, key)
    status = UNTIDY if form.errors else 200
    context = {"enquiry": get_enquiry(key), "form": form, "page": page}
    return render(request, "desk/form.html", context, status=status)


@in_turn
def set_offer(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """What is on offer, bounds on several lots, today's bill and the house's own average."""
    enquiry = get_enquiry(key)
    shares = {share.lot_id: share.parts for share in enquiry.shares.all()}
    data = request.POST or None
    today = TodayForm(data, instance=enquiry, prefix="today")
    offers = OfferSet(data, instance=enquiry, prefix="offers")
    groups = GroupSet(data, instance=enquiry, prefix="groups", form_kwargs={"lots": lot_names_by_key(enquiry)})
    for form in offers.forms:
        form.fields["today"].initial = shares.get(form.instance.lot_id, 0)
    if request.method == "POST" and all([today.is_valid(), offers.is_valid(), groups.is_valid()]):
        _keep_offer(enquiry, today, offers, groups)
        messages.success(request, "Kept.")
        return redirect("offer", enquiry.pk)
    untidy = today.errors or offers.total_error_count() or groups.total_error_count()
    context = {"enquiry": get_enquiry(key), "today": today, "offers": offers, "groups": groups, "page": "offer"}
    return render(request, "desk/offer.html", context, status=UNTIDY if untidy else 200)


def _keep_offer(
    enquiry: EnquiryRow,
    today: TodayForm,
    offers: BaseInlineFormSet[OfferedLot, EnquiryRow, OfferForm],
    groups: BaseInlineFormSet[LotGroup, EnquiryRow, GroupForm],
) -> None:
    if today.has_changed():
        today.save()
    offers.save()
    for place, group in enumerate(groups.save(commit=False), start=enquiry.groups.count()):
        if group.pk is None:
            group.place = place
        group.save()
    for group in groups.deleted_objects:
        group.delete()
    for place, form in enumerate(offers.forms):
        gone = form in offers.deleted_forms
        _keep_share(enquiry, form.instance.lot_id, 0 if gone else form.cleaned_data.get("today") or 0, place)


def _keep_share(enquiry: EnquiryRow, lot_id: str, parts: int, place: int) -> None:
    """Today's share of a lot; only what changes is written, so that the history holds no idle lines."""
    kept = enquiry.shares.filter(named__name=lot_id).first()
    if kept is None and parts:
        BillShare.objects.create(enquiry=enquiry, named=name_lot(enquiry, lot_id), parts=parts, place=place)
    elif kept is not None and not parts:
        kept.delete()
    elif kept is not None and kept.parts != parts:
        kept.parts = parts
        kept.save()


def show_changes(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Who changed what, and when."""
    enquiry = get_enquiry(key)
    context = {"enquiry": enquiry, "changes": changes.changes(enquiry), "page": "changes"}
    return render(request, "desk/changes.html", context)
