"""Prices at release, and the claim of age with its casks."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from gristwright.basics import Refused
from gristwright.casework import claim as claims_of_age
from gristwright.charts.ageing import reading_chart
from gristwright.documents.gain import ages_view
from gristwright.records.ageing import ClaimAsked
from gristwright.store.aged import claim_columns, claim_record
from gristwright.store.models import AgedCasks, EnquiryRow, Release
from gristwright.workbench import hands
from gristwright.workbench.age_forms import ClaimForm, ReleaseForm
from gristwright.workbench.faults import sentence
from gristwright.workbench.meanwhile import Meanwhile, as_kept, meet
from gristwright.workbench.turns import in_turn
from gristwright.workbench.views.enquiries import get_enquiry, save_changed, status_of, told


def show_age(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Prices at release and the claim, each with a form of its own, and what the casks carry."""
    return _page(request, get_enquiry(key))


def _page(
    request: HttpRequest,
    enquiry: EnquiryRow,
    release: tuple[ReleaseForm, Meanwhile] | None = None,
    asked: tuple[ClaimForm, Meanwhile] | None = None,
) -> HttpResponse:
    """The page with the form that was sent, filled in as it was sent, and the other one as it is kept."""
    kept = _kept(enquiry)
    sent = release or asked
    one, other = (ReleaseForm(instance=_release(enquiry)), ClaimForm(kept=kept))
    prices, met_prices = release or (one, as_kept(one))
    claim, met_claim = asked or (other, as_kept(other))
    context: dict[str, Any] = {
        "enquiry": enquiry,
        "page": "age",
        "release": prices,
        "met_release": met_prices,
        "asked": claim,
        "met_claim": met_claim,
        "kept": getattr(enquiry, "aged", None),
        **_said(kept),
    }
    status = status_of(sent[1], bool(sent[0].errors)) if sent else 200
    return render(request, "desk/age.html", context, status=status)


def _release(enquiry: EnquiryRow) -> Release:
    return getattr(enquiry, "release", None) or Release(enquiry_id=enquiry.pk)


def _kept(enquiry: EnquiryRow) -> ClaimAsked | None:
    return claim_record(enquiry.aged) if hasattr(enquiry, "aged") else None


def _said(kept: ClaimAsked | None) -> dict[str, Any]:
    """What may be said and the pictures of it, nothing without casks, a refusal's sentences where nothing may."""
    if kept is None:
        return {}
    try:
        found = claims_of_age.claim(kept.ladder, kept.arms, kept.claims, model=kept.model, count=kept.count)
    except Refused as refused:
        return {"ages": {"refused": [sentence(problem) for problem in refused.problems]}}
    drawn = [(f"chart-arm-{k}", one, reading_chart(one)) for k, one in enumerate(found.answers, start=1)]
    return {"ages": ages_view(found), "readings": [one for one in drawn if one[2]]}


@in_turn
def keep_release(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Keep the prices, or none when every field is empty."""
    if request.method != "POST":
        return redirect("age", key)
    enquiry = get_enquiry(key)
    row = _release(enquiry)
    met = meet(request, [ReleaseForm(instance=row)], hands.of_row)
    form = ReleaseForm(met.data, instance=row)
    if met.stops or not form.is_valid():
        return _page(request, get_enquiry(key), release=(form, met))
    if form.has_changed() and form.says_something:
        save_changed(form)
    elif form.has_changed() and row.pk is not None:
        row.delete()
    told(request, met, form.has_changed())
    return redirect("age", enquiry.pk)


@in_turn
def keep_claim(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Keep the claim with its casks, or take both away."""
    if request.method != "POST":
        return redirect("age", key)
    enquiry = get_enquiry(key)
    row = AgedCasks.objects.filter(enquiry=enquiry).first() or AgedCasks(enquiry_id=enquiry.pk)
    met = meet(request, [ClaimForm(kept=_kept(enquiry))], lambda _: hands.of_row_whole(row))
    if "take_away" in request.POST:
        return _take_away(request, row, met)
    form = ClaimForm(met.data, met.files, kept=_kept(enquiry))
    if not form.is_valid() or form.asked is None or met.stops:
        return _page(request, enquiry, asked=(form, met))
    changed = form.has_changed()
    if changed:
        for name, value in claim_columns(form.asked).items():
            setattr(row, name, value)
        row.save()
    told(request, met, changed)
    for problem in form.warnings:
        messages.warning(request, sentence(problem))
    return redirect("age", enquiry.pk)


def _take_away(request: HttpRequest, row: AgedCasks, met: Meanwhile) -> HttpResponse:
    """Take the casks away, unless others saved something of them since they were shown here."""
    if met.moved_on:
        hand = hands.of_row_whole(row)
        what = f"The claim was changed meanwhile{f' {hand}' if hand else ''}. It stands here as it is now."
        messages.warning(request, f"{what} Nothing was deleted: press the button again if it shall go all the same.")
    elif row.pk:
        row.delete()
        messages.success(request, "The claim and its casks were deleted.")
    return redirect("age", row.enquiry_id)
