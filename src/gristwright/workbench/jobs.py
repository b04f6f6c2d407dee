"""Work that takes a while, as a job: asked on a page, done by the worker, followed and stopped from any page."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import User
from django.db import DatabaseError, connection
from django.utils import timezone

from gristwright import casework
from gristwright.basics import Problem, Refused, Tick
from gristwright.casework import recommend
from gristwright.documents.dossier import Drawn, drawn, drawn_of_beer
from gristwright.documents.dossier_view import dossier_view
from gristwright.records.enquiry import Enquiry, SpiritEnquiry
from gristwright.records.lot import Lot
from gristwright.store.frozen import inputs_text, sha256
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record, spirit_record
from gristwright.store.models import Answer, EnquiryRow, Job
from gristwright.store.models.work import OPEN, Kind, State
from gristwright.store.trouble import trouble
from gristwright.workbench import issued, mash_jobs
from gristwright.workbench.faults import sentence
from gristwright.workbench.steps import StopAsked, end, ticker
from gristwright.workbench.trying import MEMBERS
from gristwright.workbench.turns import refuse_if_gone, turn

DRAWS = (MEMBERS, 8192, 16_384)
CUT_SHORT = "The desk ended while this was running. Nothing of it was kept; ask again."
# How long until an end that could not be written down is tried again [s].
TRY_AGAIN_S = 2.0
# Kinds of which an enquiry has one at a time.
ONE_OF = {Kind.SEARCH: (Kind.SEARCH,), Kind.MASH: (Kind.MASH, Kind.MAP), Kind.MAP: (Kind.MASH, Kind.MAP)}


def ask(
    enquiry: EnquiryRow, members: int, owner: User | None, kind: Kind = Kind.SEARCH, asked: dict[str, Any] | None = None
) -> Job:
    """A job waiting for the worker. Raises Refused when one is open already or the enquiry is not complete."""
    record_for(kind)(enquiry)
    with turn():
        refuse_if_gone(enquiry)
        if enquiry.jobs.filter(state__in=OPEN, kind__in=ONE_OF[kind]).exists():
            raise Refused([Problem(str(kind), "one is under way already.", "Wait for it, or stop it first.")])
        return Job.objects.create(enquiry=enquiry, members=members, asked_by=owner, kind=kind, asked=asked or {})


def record_for(kind: Kind) -> Callable[[EnquiryRow], SpiritEnquiry]:
    """A mash asks for no cask, a search for everything."""
    return enquiry_record if kind == Kind.SEARCH else spirit_record


def stop(job: Job) -> None:
    """Ask a job to stop; one that has not begun is stopped at once."""
    ended = {"state": State.STOPPED, "ended_at": timezone.now()}
    if not Job.objects.filter(pk=job.pk, state=State.WAITING).update(stop_asked=True, **ended):
        Job.objects.filter(pk=job.pk, state=State.RUNNING).update(stop_asked=True)


def interrupt_running() -> int:
    """Say of every job that was running that it was cut short; for when no worker is alive."""
    told = {"state": State.INTERRUPTED, "ended_at": timezone.now(), "said": [CUT_SHORT]}
    return Job.objects.filter(state=State.RUNNING).update(**told)


def claim() -> Job | None:
    """The job that has waited longest, now running; None when none waits."""
    waiting = Job.objects.filter(state=State.WAITING).order_by("asked_at").first()
    if waiting is None:
        return None
    began = {"state": State.RUNNING, "began_at": timezone.now()}
    taken = Job.objects.filter(pk=waiting.pk, state=State.WAITING).update(**began)
    return Job.objects.get(pk=waiting.pk) if taken else None


def run(job: Job) -> None:
    """Work a claimed job out to its end, whatever the end is. Raises what was a fault of ours."""
    try:
        given = lot_records(job.enquiry)
        if job.kind == Kind.SEARCH:
            finish(job, enquiry_record(job.enquiry), given)
        else:
            mash_jobs.finish(job, spirit_record(job.enquiry), given)
    except StopAsked:
        end_at_last(job, State.STOPPED, [])
    except Exception as fault:
        told = trouble(fault)
        if told is not None:
            end_at_last(job, State.FAILED, [f"{told.sentence()} Nothing of this was kept."])
        elif isinstance(fault, Refused):
            end_at_last(job, State.REFUSED, [sentence(problem) for problem in fault.problems])
        else:
            said = f"A fault of ours: {type(fault).__name__}: {fault}. The terminal says more."
            end_at_last(job, State.FAILED, [said])
            raise


def end_at_last(job: Job, state: str, said: list[str], wait: Callable[[float], None] = time.sleep) -> None:
    """Write the end of a job down, as soon as it can be written: a full disk has room again some time."""
    while True:
        try:
            end(job, state, said)
            return
        except DatabaseError as fault:
            if trouble(fault) is None:
                raise
            connection.close_if_unusable_or_obsolete()
            wait(TRY_AGAIN_S)


def finish(job: Job, asked: Enquiry, given: tuple[Lot, ...]) -> Answer:
    """The answer worked out and frozen as a draft in one step with the end of the job."""
    told = ticker(job)
    text = inputs_text(asked, given)
    told(0, 1, "drawing every parameter" + " and laying down the casks" * (not asked.brews))
    ready = _worked_out(asked, given, inputs_of(job.enquiry, text), job.members, told)
    told(1, 1, "writing the draft")
    answer = issued.draft_of(job, ready, text)
    with turn():
        end(job, State.DONE, [])
        answer.save()
    return answer


def _worked_out(
    asked: Enquiry, given: tuple[Lot, ...], inputs: tuple[tuple[str, str], ...], members: int, tick: Tick
) -> Drawn:
    """A distiller's dossier, or a brewer's recommendation, ready for paper and page."""
    if asked.brews:
        return drawn_of_beer(casework.advise(asked, given, inputs, members=members, tick=tick))
    made = recommend.dossier(asked, given, inputs, members=members, tick=tick)
    return drawn(made, dossier_view(made))


def inputs_of(enquiry: EnquiryRow, text: str) -> tuple[tuple[str, str], ...]:
    """The enquiry as it is kept and the certificates it was filled from, with their fingerprints."""
    taken = enquiry.certificate_files.exclude(taken_at=None).order_by("taken_at")
    return (("enquiry as kept at the desk", sha256(text)), *((file.name, file.sha256) for file in taken))
