"""Prices at release, and the claim of age with its casks."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from gristwright.basics import Refused
from gristwright.casework import claim as claims_of_age
from gristwright.charts.ageing import reading_chart
from gristwright.documents.gain import ages_view
from gristwright.records.ageing import ClaimAsked
from gristwright.store.aged import claim_columns, claim_record
from gristwright.store.models import AgedCasks, EnquiryRow, Release
from gristwright.workbench.age_forms import ClaimForm, ReleaseForm
from gristwright.workbench.faults import sentence
from gristwright.workbench.turns import in_turn, turn
from gristwright.workbench.views.enquiries import UNTIDY, get_enquiry


def show_age(
    request: HttpRequest, key: uuid.UUID, release: ReleaseForm | None = None, asked: ClaimForm | None = None
) -> HttpResponse:
    """Prices at release and the claim, each with a form of its own, and what the casks carry."""
    enquiry = get_enquiry(key)
    kept = _kept(enquiry)
    untidy = any(form is not None and form.errors for form in (release, asked))
    context: dict[str, Any] = {
        "enquiry": enquiry,
        "page": "age",
        "release": release or ReleaseForm(instance=getattr(enquiry, "release", None)),
        "asked": asked or ClaimForm(kept=kept),
        "kept": getattr(enquiry, "aged", None),
        **_said(kept),
    }
    return render(request, "desk/age.html", context, status=UNTIDY if untidy else 200)


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


@require_POST
@in_turn
def keep_release(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Keep the prices, or none when every field is empty."""
    enquiry = get_enquiry(key)
    row = getattr(enquiry, "release", None) or Release(enquiry=enquiry)
    form = ReleaseForm(request.POST, instance=row)
    if not form.is_valid():
        return show_age(request, key, release=form)
    if form.has_changed() and form.says_something:
        form.save()
    elif form.has_changed() and row.pk is not None:
        row.delete()
    messages.success(request, "Kept." if form.has_changed() else "Nothing was changed.")
    return redirect("age", enquiry.pk)


@require_POST
def keep_claim(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Keep the claim with its casks, or take both away."""
    enquiry = get_enquiry(key)
    if "take_away" in request.POST:
        if hasattr(enquiry, "aged"):
            enquiry.aged.delete()
        messages.success(request, "The casks were taken away.")
        return redirect("age", enquiry.pk)
    form = ClaimForm(request.POST, request.FILES, kept=_kept(enquiry))
    if not form.is_valid() or form.asked is None:
        return show_age(request, key, asked=form)
    with turn():
        row = AgedCasks.objects.filter(enquiry=enquiry).first() or AgedCasks(enquiry=enquiry)
        for name, value in claim_columns(form.asked).items():
            setattr(row, name, value)
        row.save()
    messages.success(request, "Kept.")
    for problem in form.warnings:
        messages.warning(request, sentence(problem))
    return redirect("age", enquiry.pk)
