"""The list of enquiries, starting one, and the pages on which it is filled in."""

from __future__ import annotations

import re
import uuid
from typing import Any

from django.contrib import messages
from django.db.models import OuterRef, Prefetch, QuerySet
from django.forms import BaseInlineFormSet, ModelForm
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused
from gristwright.reference.codes import currencies
from gristwright.store.asked import asked_problems
from gristwright.store.library import name_lot
from gristwright.store.mapping import lot_names_by_key
from gristwright.store.models import BillShare, CaskVersion, EnquiryRow, LotGroup, NamedLot, OfferedLot, PlantVersion
from gristwright.store.versions import keep, newest, standing
from gristwright.workbench import beginning, changes, hands, houses, listing, starting
from gristwright.workbench.brewers_forms import BreweryForm, question_form, today_form
from gristwright.workbench.cask_form import CaskForm
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.faults import sentence
from gristwright.workbench.fields import count_in
from gristwright.workbench.forms import GroupForm, GroupSet, OfferForm, OfferSet, TodayForm
from gristwright.workbench.house_form import HouseForm
from gristwright.workbench.meanwhile import CLASH, Meanwhile, meet
from gristwright.workbench.paging import Leaf, leaf
from gristwright.workbench.turns import in_turn

UNTIDY = 422
OFFER_KEY = re.compile(r"offers-[0-9]+-id")
DOCUMENTS: dict[str, tuple[Any, Any]] = {"house": (HouseForm, PlantVersion), "cask": (CaskForm, CaskVersion)}


def get_enquiry(key: uuid.UUID) -> EnquiryRow:
    """The enquiry of an address, or a 404."""
    return get_object_or_404(EnquiryRow.objects.select_related("customer", "plant"), pk=key)


def get_whole(key: uuid.UUID) -> EnquiryRow:
    """The enquiry of an address with all that it is worked out from, asked for once, or a 404."""
    parts = ("shares", "offered", "groups", Prefetch("named", NamedLot.objects.select_related("version")))
    rows = EnquiryRow.objects.select_related("release", "aged", "dosing", "customer", "plant")
    return get_object_or_404(rows.prefetch_related(*parts, Prefetch("casks", _newest_casks())), pk=key)


def _newest_casks() -> QuerySet[CaskVersion]:
    """Of every enquiry the cask that was kept last."""
    casks = CaskVersion.objects.filter(enquiry=OuterRef("enquiry")).order_by("-number")
    return CaskVersion.objects.filter(number=casks.values("number")[:1])


def list_enquiries(request: DeskRequest, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    """The enquiries, and the three ways to start one."""
    context = {"listing": listing.listing(request.GET), "houses": houses.known_houses(), "problems": problems,
               "currencies": currencies(), "currency": starting.as_before(request.user)["currency"]}  # fmt: skip
    return render(request, "desk/enquiries.html", context, status=UNTIDY if problems else 200)


@require_POST
def start_enquiry(request: DeskRequest) -> HttpResponse:
    """A new enquiry from files, from the example, or begun with what is known."""
    way = request.POST.get("way", "")
    try:
        if way == "files":
            made = starting.from_files(starting.sent_files(request.FILES.getlist("files")), request.user)
        elif way == "example":
            made = starting.from_example(request.user)
        else:
            return _begun(request)
    except Refused as refused:
        return list_enquiries(request, refused.problems)
    return redirect("bill", made.pk)


def _begun(request: DeskRequest) -> HttpResponse:
    """On to the first page on which something is missing."""
    sent = request.FILES.getlist("certificates")
    files = starting.sent_files(sent) if sent else {}
    title, house, currency = (request.POST.get(name, "").strip() for name in ("title", "house", "currency"))
    made, said = beginning.begin(title, house, currency, files, request.user)
    for told_of in said:
        messages.success(request, told_of)
    return redirect(beginning.next_page(made), made.pk)


@in_turn
def edit_question(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """The question, in sections."""
    enquiry = get_enquiry(key)
    kind = question_form(enquiry)
    met = meet(request, [kind(instance=enquiry)], hands.of_row)
    form = kind(met.data, instance=enquiry)
    sound = not met.stops and form.is_valid()
    changed = sound and form.has_changed()
    if changed:
        save_changed(form)
    return _edited(request, key, "question", form, met, changed if sound else None)


@in_turn
def edit_document(request: DeskRequest, key: uuid.UUID, page: str) -> HttpResponse:
    """House or cask: a form in sections over its newest document; what is kept is another one."""
    enquiry = get_enquiry(key)
    kind, model = DOCUMENTS[page]
    kind = BreweryForm if page == "house" and enquiry.brews else kind
    document = newest(model, enquiry)
    met = meet(request, [kind(document=document)], hands.of_document(standing(model, enquiry)))
    form = kind(met.data, document=document)
    sound = not met.stops and form.is_valid()
    changed = sound and keep(model, enquiry, form.document, request.user)
    return _edited(request, key, page, form, met, changed if sound else None)


def _edited(
    request: HttpRequest, key: uuid.UUID, page: str, form: Any, met: Meanwhile, changed: bool | None
) -> HttpResponse:
    """On after a save, whether it `changed` anything or not; None stays on the page with what stands against it."""
    if changed is not None:
        told(request, met, changed)
        for remark in getattr(form, "remarks", ()):
            messages.info(request, remark)
        return redirect(page, key)
    # Looked at anew, for a form that was refused has written into the one it was filled in from.
    context: dict[str, Any] = {"enquiry": get_enquiry(key), "form": form, "page": page, "met": met}
    if page == "house":
        context["elsewhere"] = houses.elsewhere(context["enquiry"])
    return render(request, "desk/form.html", context, status=status_of(met, bool(form.errors)))


def told(request: HttpRequest, met: Meanwhile, changed: bool) -> None:
    """Say what a save did, and what others did meanwhile."""
    messages.success(request, "Saved." if changed else "Nothing was changed.")
    for also in met.told:
        messages.info(request, also)


def status_of(met: Meanwhile, untidy: bool) -> int:
    """How a page of fields is answered."""
    return CLASH if met.stops else UNTIDY if untidy else 200


def save_changed(form: ModelForm[Any]) -> None:
    """Write the columns that were changed and no other."""
    form.instance.save(
        update_fields=form.changed_data if form.instance.pk and not form.instance._state.adding else None
    )


@in_turn
def set_offer(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """What is on offer, bounds on several lots, today's bill and the house's own average."""
    enquiry = get_enquiry(key)
    listed = leaf(enquiry.offered.values_list("pk", flat=True), request.GET)
    lines = _offers_of(request, enquiry, listed)
    kept = _offer_forms(enquiry, lines)
    met = meet(request, kept, hands.of_offer, hands.took_out)
    today, offers, groups = kept if met.data is None else _offer_forms(enquiry, lines, met.data)
    sound = met.data is not None and all([today.is_valid(), offers.is_valid(), groups.is_valid()])
    if sound and not met.stops:
        changed = today.has_changed() or offers.has_changed() or groups.has_changed()
        _keep_offer(enquiry, today, offers, groups)
        for problem in asked_problems(get_enquiry(key)) if offers.deleted_objects else ():
            messages.warning(request, sentence(problem))
        told(request, met, changed)
        return redirect(request.get_full_path())
    shown = enquiry if met.data is None else get_enquiry(key)
    context = {"enquiry": shown, "today": today, "offers": offers, "groups": groups, "page": "offer", "listed": listed}
    status = status_of(met, met.data is not None and not sound)
    return render(request, "desk/offer.html", {**context, "met": met}, status=status)


def _offers_of(request: HttpRequest, enquiry: EnquiryRow, listed: Leaf) -> QuerySet[OfferedLot]:
    """The lots on offer that a page shows; of a long list those of the address, and those that were sent from it."""
    rows = OfferedLot.objects.filter(enquiry=enquiry)
    if not listed.page.has_other_pages():
        return rows
    sent = [text for name, text in request.POST.items() if OFFER_KEY.fullmatch(name)]
    return rows.filter(pk__in=[count_in(str(text), hands.MOST_ROWS) for text in sent] if sent else list(listed))


def _offer_forms(
    enquiry: EnquiryRow, lines: QuerySet[OfferedLot], data: QueryDict | None = None
) -> tuple[TodayForm, Any, Any]:
    """The three parts of the page, shown as they are kept or filled with what was sent."""
    shares = {share.lot_id: share.parts for share in enquiry.shares.all()}
    offers = OfferSet(data, instance=enquiry, prefix="offers", queryset=lines)
    for form in offers.forms:
        form.fields["today"].initial = shares.get(form.instance.lot_id, 0)
    groups = GroupSet(data, instance=enquiry, prefix="groups", form_kwargs={"lots": lot_names_by_key(enquiry)})
    return today_form(enquiry)(data, instance=enquiry, prefix="today"), offers, groups


def _keep_offer(
    enquiry: EnquiryRow,
    today: TodayForm,
    offers: BaseInlineFormSet[OfferedLot, EnquiryRow, OfferForm],
    groups: BaseInlineFormSet[LotGroup, EnquiryRow, GroupForm],
) -> None:
    if today.has_changed():
        save_changed(today)
    offers.save()
    for place, group in enumerate(groups.save(commit=False), start=enquiry.groups.count()):
        if group.pk is None:
            group.place = place
        group.save()
    for group in groups.deleted_objects:
        group.delete()
    for form in (form for form in offers.forms if form.instance.named_id):
        parts = 0 if form in offers.deleted_forms else form.cleaned_data.get("today") or 0
        _keep_share(enquiry, form.instance.lot_id, parts, form.instance.place)


def _keep_share(enquiry: EnquiryRow, lot_id: str, parts: int, place: int) -> None:
    """Today's share of a lot; only what changes is written, so that the history holds no idle lines."""
    kept = enquiry.shares.filter(named__name=lot_id).first()
    if kept is None and parts:
        BillShare.objects.create(enquiry=enquiry, named=name_lot(enquiry, lot_id), parts=parts, place=place)
    elif kept is not None and not parts:
        kept.delete()
    elif kept is not None and kept.parts != parts:
        kept.parts = parts
        kept.save(update_fields=["parts"])


def show_changes(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Who changed what, and when."""
    enquiry = get_enquiry(key)
    context = {"enquiry": enquiry, "changes": leaf(changes.changes(enquiry), request.GET), "page": "changes"}
    return render(request, "desk/changes.html", context)
