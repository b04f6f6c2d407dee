"""The steps of a job: its progress written down, its being stopped noticed, its end."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress

from django.db import OperationalError
from django.utils import timezone

from gristwright.store.models import Job
from gristwright.workbench.turns import turn

TELL_EVERY_S = 0.2


class StopAsked(Exception):
    """Somebody asked the job to stop."""


def ticker(job: Job, clock: Callable[[], float] = time.monotonic) -> Callable[[int, int, str], None]:
    """A tick that writes progress down now and then, and raises Stopped when that was asked."""
    told_at, told = float("-inf"), ""

    def tick(done: int, total: int, note: str) -> None:
        nonlocal told_at, told
        now = clock()
        if note == told and now - told_at < TELL_EVERY_S:
            return
        told_at, told = now, note
        # Others may be writing for long: how far it is will be said at the next step.
        with suppress(OperationalError):
            Job.objects.filter(pk=job.pk).update(done=done, total=total, note=note[:300])
        if Job.objects.filter(pk=job.pk, stop_asked=True).exists():
            raise StopAsked

    return tick


def end(job: Job, state: str, said: list[str]) -> None:
    """Write the end of a job down."""
    with turn():
        Job.objects.filter(pk=job.pk).update(state=state, said=said, ended_at=timezone.now())
