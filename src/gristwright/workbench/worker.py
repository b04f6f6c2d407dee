"""The worker process: takes the jobs one after the other, and ends when the desk that started it ends."""

from __future__ import annotations

import os
import sys
import threading
import time
import traceback
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gristwright.store.models import Job

IDLE_S = 0.3


def main() -> None:
    """Work until standard input is closed, which is what the end of the desk does to it, however it ends."""
    threading.Thread(target=_end_with_the_desk, daemon=True).start()
    set_up()
    from gristwright.workbench import jobs

    while True:
        job = _next(jobs.claim)
        if job is None:
            time.sleep(IDLE_S)
            continue
        try:
            jobs.run(job)
        except Exception:
            traceback.print_exc()


def _next(claim: Callable[[], Job | None]) -> Job | None:
    """The next job; none while others are writing for long, for it waits as well a little later."""
    from django.db import OperationalError

    try:
        return claim()
    except OperationalError:
        traceback.print_exc()
        return None


def set_up() -> None:
    """Load Django with the desk's settings."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gristwright.workbench.settings")
    import django

    django.setup()


def _end_with_the_desk() -> None:
    sys.stdin.buffer.read()
    os._exit(0)


if __name__ == "__main__":
    main()
