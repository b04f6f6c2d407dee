"""The bill being tried."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from functools import cache
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused, at, refuse_if_any
from gristwright.charts.render import svg
from gristwright.records.enquiry import Group
from gristwright.records.lot import Lot
from gristwright.reference.house_words import for_a_brewer
from gristwright.rules.hazard import cautions
from gristwright.store.library import lot_records
from gristwright.store.mapping import group_records, spirit_record
from gristwright.store.models import EnquiryRow, OfferedLot
from gristwright.store.models.work import Kind
from gristwright.workbench import asked_bills
from gristwright.workbench.brewing import BrewedView
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.export import csv_file
from gristwright.workbench.fields import Pct
from gristwright.workbench.how_far import worked_out
from gristwright.workbench.newest import newest
from gristwright.workbench.trying import FIRST, MEMBERS, Tried, TriedView, kept_try
from gristwright.workbench.turns import in_turn, turn
from gristwright.workbench.views.enquiries import UNTIDY, get_whole
from gristwright.workbench.views.mash import Records, ask_mash, mash_part, there

# With more lots than this a page with scripts shows those of the bill first, and a box that finds the others.
MANY_LOTS = 10
# The answer to a request that a newer one has overtaken: nothing to show.
PASSED = 204
CAUTIONS = ("planning", "spirit", "co2", "dust", "liquor", "licence", "label")
BREWERS_CAUTIONS = ("planning", "co2", "dust", "liquor")


def show_bill(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """The bill being tried against today's: shares, figures, boards, law, ledger; first figures unless final ones are
    asked for."""
    enquiry = get_whole(key)
    members = MEMBERS if "final" in request.GET else FIRST
    return render(request, "desk/bill.html", _page(enquiry, kept_try(enquiry), [], members))


@require_POST
def try_bill(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Work out the shares that were sent; with htmx only what they change is sent back, and the final figures only
    when they are asked for."""
    if not request.htmx:
        return _try_whole(request, get_whole(key))
    if "final" in request.POST:
        return _moved(request, get_whole(key), MEMBERS)
    with newest(key) as wanted:
        return _moved(request, get_whole(key), FIRST) if wanted else HttpResponse(status=PASSED)


def _try_whole(request: DeskRequest, enquiry: EnquiryRow) -> HttpResponse:
    """The page of the shares that were sent."""
    tried, problems = _sent(request, enquiry)
    if not problems:
        _keep_try(enquiry, tried)
        return redirect(f"{reverse('bill', args=[enquiry.pk])}?final")
    return render(request, "desk/bill.html", _page(enquiry, tried, problems, FIRST), status=UNTIDY)


def _moved(request: DeskRequest, enquiry: EnquiryRow, members: int) -> HttpResponse:
    """What moves with the shares that were sent."""
    tried, problems = _sent(request, enquiry)
    if not problems:
        _keep_try(enquiry, tried)
    context = _page(enquiry, tried, problems, members, whole=False)
    return render(request, part_of(enquiry), {**context, "swapped": members == FIRST})


@require_POST
def simulate(request: DeskRequest, key: uuid.UUID, kind: Kind) -> HttpResponse:
    """Ask for the simulated mash, or the map, of the shares that were sent."""
    enquiry = get_whole(key)
    tried, problems = _sent(request, enquiry)
    problems = problems or ask_mash(request, enquiry, tried, kind)
    if problems:
        return render(request, "desk/bill.html", _page(enquiry, tried, problems, MEMBERS), status=UNTIDY)
    _keep_try(enquiry, tried)
    return redirect(there(enquiry))


@require_POST
def ask_bill(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Have the bill of the shares that were sent answered, under the name that was sent."""
    name = request.POST.get("bill_name", "")
    try:
        with turn():
            enquiry = get_whole(key)
            tried, problems = _sent(request, enquiry)
            refuse_if_any(problems)
            called = asked_bills.ask(enquiry, tried.bill, name)
            _keep_try(enquiry, tried)
    except Refused as refused:
        enquiry = get_whole(key)
        tried, problems = _sent(request, enquiry)
        against = [problem for problem in refused.problems if problem.where == asked_bills.NAME]
        context = _page(enquiry, tried, problems, FIRST) | {"against": against, "bill_name": name}
        return render(request, "desk/bill.html", context, status=UNTIDY)
    messages.success(request, f"“{called}” will be answered by a search. It stands below, under Bills asked about.")
    return redirect("bill", key)


@require_POST
@in_turn
def take_bill_out(request: DeskRequest, key: uuid.UUID) -> HttpResponse:
    """Ask about a bill no longer; one that was changed meanwhile stays."""
    called = asked_bills.take_out(get_whole(key), request.POST.get("mark", ""))
    if called:
        messages.success(request, f"“{called}” is no longer asked about.")
    else:
        messages.warning(request, "That bill was taken out or changed meanwhile. Nothing was done.")
    return redirect(f"{reverse('bill', args=[key])}#asked")


def _keep_try(enquiry: EnquiryRow, tried: Tried) -> None:
    # Not through save(): a bill that is only tried is no change of the enquiry.
    EnquiryRow.objects.filter(pk=enquiry.pk).update(tried=tried.full, tried_rest=tried.rest)


def give_ledger(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """The ledgers of the tried bill and today's as CSV."""
    enquiry = get_whole(key)
    context = _page(enquiry, kept_try(enquiry), [], MEMBERS)
    view: TriedView | BrewedView | None = context["view"]
    if not isinstance(view, TriedView) or not view.ledger:
        return redirect("bill", enquiry.pk)
    rows = [
        (this.label, this.reference, this.low, this.high, before.reference if before else "")
        for this, before in view.ledger
    ]
    heads = ("line, L of pure alcohol at 20 degC a tonne", "this bill", "low", "high", "today")
    return csv_file("ledger.csv", heads, rows)


def _sent(request: HttpRequest, enquiry: EnquiryRow) -> tuple[Tried, list[Problem]]:
    """The shares of the form by lot, and what is wrong with them."""
    parts: dict[str, int] = {}
    problems: list[Problem] = []
    field = Pct(required=False)
    rest = request.POST.get("rest", "")
    for offer in enquiry.offered.all():
        try:
            parts[offer.lot_id] = field.clean(request.POST.get(f"share.{offer.lot_id}", "")) or 0
        except Exception as fault:
            if not hasattr(fault, "messages"):
                raise
            parts[offer.lot_id] = 0
            if offer.lot_id != rest:
                problems += [Problem(at("shares", offer.lot_id), text) for text in fault.messages]
    return Tried(parts, rest if rest in parts else ""), problems


def _page(
    enquiry: EnquiryRow, tried: Tried, problems: list[Problem], members: int, whole: bool = True
) -> dict[str, Any]:
    """Everything the page and its moving part show, on so many draws; only the `whole` page has the last mashes."""
    view, faults_now = None, list(problems)
    given = cache(lambda: lot_records(enquiry))
    if not faults_now:
        try:
            view, faults_now = worked_out(enquiry, given(), tried, members)
        except Refused as refused:
            faults_now = list(refused.problems)
    lots = _lots(enquiry, tried)
    return {
        "enquiry": enquiry,
        "page": "bill",
        "lots": lots,
        "many": len(lots) > MANY_LOTS,
        "rest": tried.rest,
        "total": f"{sum(tried.full.values()) / 100:g}",
        "left": tried.left,
        "problems": faults_now,
        "outside": _outside(enquiry, tried),
        "view": view,
        "part": part_of(enquiry),
        "asked": asked_bills.asked_bills(enquiry) if whole else [],
        "picture": _picture(view) if whole else "",
        "mash": mash_part(enquiry, tried, whole, _records(enquiry, given)),
        "cautions": for_a_brewer(cautions(*BREWERS_CAUTIONS)) if enquiry.brews else cautions(*CAUTIONS),
    }


def part_of(enquiry: EnquiryRow) -> str:
    """The template of what moves with the shares."""
    return "desk/brewed.html" if enquiry.brews else "desk/tried.html"


def _records(enquiry: EnquiryRow, given: Callable[[], tuple[Lot, ...]]) -> Callable[[], Records]:
    """What reads the enquiry and its lots, once. It raises Refused with everything that is missing."""
    return cache(lambda: (spirit_record(enquiry), given()))


def _picture(view: TriedView | BrewedView | None) -> SafeString:
    """The ledger as it stands in the page before a script draws it, or without one."""
    # Drawn here from our own words and numbers, with every text escaped by what draws it.
    if not isinstance(view, TriedView) or not view.chart:
        return SafeString("")
    try:
        return mark_safe(svg(view.chart))
    except Refused as refused:
        return format_html("<p>{}</p>", str(refused))


def _lots(enquiry: EnquiryRow, tried: Tried) -> list[dict[str, Any]]:
    """A line of the form for each lot on offer."""
    kinds = {named.name: named.version.document["material"] for named in enquiry.named.all() if named.version}
    today = {share.lot_id: share.parts for share in enquiry.shares.all()}
    full = tried.full
    return [
        {
            "id": offer.lot_id,
            "kind": kinds.get(offer.lot_id, "no certificate").replace("_", " "),
            "share": f"{full.get(offer.lot_id, 0) / 100:g}",
            "today": f"{today.get(offer.lot_id, 0) / 100:g}",
            "range": f"{offer.least_parts / 100:g} to {offer.most_parts / 100:g}",
            "used": bool(full.get(offer.lot_id) or today.get(offer.lot_id) or offer.lot_id == tried.rest),
        }
        for offer in enquiry.offered.all()
    ]


def _outside(enquiry: EnquiryRow, tried: Tried) -> list[str]:
    """What lies outside the ranges of the enquiry: it may be tried, but a search will not offer it."""
    full = tried.full
    ranges: list[tuple[str, int, OfferedLot | Group]] = []
    ranges += [(offer.lot_id, full.get(offer.lot_id, 0), offer) for offer in enquiry.offered.all()]
    ranges += [(g.name, sum(full.get(lot, 0) for lot in g.lot_ids), g) for g in group_records(enquiry)]
    return [
        f"{name}: {parts / 100:g} % is outside the {bound.least_parts / 100:g} to {bound.most_parts / 100:g} % allowed."
        for name, parts, bound in ranges
        if not bound.least_parts <= parts <= bound.most_parts
    ]
