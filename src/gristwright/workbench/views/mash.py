"""The simulated mash of the bill being tried, and the map around its plan: asked for, followed, stopped."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from typing import Any, TypeAlias

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from gristwright.basics import Problem, Refused
from gristwright.records.enquiry import SpiritEnquiry
from gristwright.records.lot import Lot
from gristwright.store.library import lot_records
from gristwright.store.mapping import spirit_record
from gristwright.store.models import EnquiryRow, Job, MashTrial
from gristwright.store.models.work import Kind, State
from gristwright.workbench import jobs, mash_jobs
from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.mash_jobs import MEMBERS, POINTS, STEPS_K, STEPS_L, Steps
from gristwright.workbench.trying import Tried, kept_try
from gristwright.workbench.views.enquiries import get_enquiry

Records: TypeAlias = tuple[SpiritEnquiry, tuple[Lot, ...]]

KINDS = (Kind.MASH, Kind.MAP)
OTHER_SHARES = "Of other shares than those being tried."
OTHER_HOUSE = "The house, its lots or today's bill were changed since."


def ask_mash(request: DeskRequest, enquiry: EnquiryRow, tried: Tried, kind: Kind) -> list[Problem]:
    """Ask for the mash or the map of the shares that were sent; what stands against it."""
    try:
        _ = tried.bill
        asked = mash_jobs.asked_for(tried.full, steps_of(request) if kind == Kind.MAP else None)
        jobs.ask(enquiry, MEMBERS, request.user, kind, asked)
    except Refused as refused:
        return list(refused.problems)
    return []


def steps_of(request: HttpRequest) -> Steps:
    """The steps of the map as they were sent; the usual ones for what was not."""
    usual = Steps()
    said = [_one_of(request.POST.get(name, ""), options, default) for name, options, default in (
        ("points", POINTS, usual.points), ("step_K", STEPS_K, usual.step_K),
        ("step_L_per_kg", STEPS_L, usual.step_L_per_kg))]  # fmt: skip
    return Steps(int(said[0]), said[1], said[2])


def _one_of(text: str, options: tuple[float, ...], usual: float) -> float:
    return next((option for option in options if f"{option:g}" == text), usual)


def follow_mash(request: HttpRequest, key: uuid.UUID, job_key: uuid.UUID) -> HttpResponse:
    """How far a mash is; its whole part of the page once it has ended."""
    job = get_object_or_404(Job, pk=job_key, enquiry_id=key, kind__in=KINDS)
    if job.open:
        return render(request, "desk/job.html", {"enquiry": job.enquiry, "job": job})
    response = render(
        request, "desk/mash.html", {"enquiry": job.enquiry, "mash": mash_part(job.enquiry, kept_try(job.enquiry))}
    )
    response.headers["HX-Retarget"], response.headers["HX-Reswap"] = "#mash", "outerHTML"
    return response


@require_POST
def stop_mash(request: HttpRequest, key: uuid.UUID, job_key: uuid.UUID) -> HttpResponse:
    """Ask a mash to stop."""
    jobs.stop(get_object_or_404(Job, pk=job_key, enquiry_id=key, kind__in=KINDS))
    messages.success(request, "The mash was asked to stop.")
    return redirect(there(get_enquiry(key)))


def there(enquiry: EnquiryRow) -> str:
    """The address of the mash on the bill page."""
    return f"{reverse('bill', args=[enquiry.pk])}#mash"


def mash_part(
    enquiry: EnquiryRow, tried: Tried, whole: bool = True, records: Callable[[], Records] | None = None
) -> dict[str, Any]:
    """What the page shows of mashes: the job, and the last mash and map with what has changed since.

    Unless `whole`, only what follows the shares as they change. `records` gives those that were read already.
    """
    kept = mash_jobs.last_trials(enquiry, whole)
    now = inputs_now(records or (lambda: (spirit_record(enquiry), lot_records(enquiry)))) if kept else ""
    job = enquiry.jobs.filter(kind__in=KINDS).first() if whole else None
    return {
        "job": job if job and job.state != State.DONE else None,
        "trials": [_shown(kept[kind], tried.full, now, whole) for kind in KINDS if kind in kept],
        "points": POINTS,
        "steps_K": STEPS_K,
        "steps_L": STEPS_L,
        "usual": Steps(),
    }


def inputs_now(records: Callable[[], Records]) -> str:
    """The fingerprint of what a mash rests on as it stands, nothing when the enquiry is not complete."""
    try:
        return mash_jobs.fingerprint(*records())
    except Refused:
        return ""


def _shown(trial: MashTrial, shares: dict[str, int], now: str, whole: bool) -> dict[str, Any]:
    """A trial with its view and the sentences that mark it as old."""
    kept = {lot: count for lot, count in trial.shares.items() if count}
    old = [OTHER_SHARES] if kept != {lot: count for lot, count in shares.items() if count} else []
    old += [OTHER_HOUSE] if trial.inputs_sha256 != now else []
    return {
        "kind": trial.kind,
        "made_at": trial.made_at,
        "old": old,
        "view": json.loads(trial.view) if whole else None,
    }
