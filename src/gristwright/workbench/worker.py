"""The worker process: takes the jobs one after the other, and ends when the desk that started it ends."""

from __future__ import annotations

import logging
import os
import sys
import threading
import time
import traceback
from collections.abc import Callable
from typing import TypeVar

from gristwright.scratch import own_scratch

IDLE_S = 0.3
# How long until a database that takes nothing is tried again [s].
TRY_AGAIN_S = 2.0


def main() -> None:
    """Work until standard input is closed, which is what the end of the desk does to it, however it ends."""
    threading.Thread(target=_end_with_the_desk, daemon=True).start()
    own_scratch()
    set_up()
    from gristwright.workbench import jobs

    # Nobody else works: what is said to be running was cut short with the worker before, where that could not be told.
    when_it_can_be_written(jobs.interrupt_running)
    while True:
        job = when_it_can_be_written(jobs.claim)
        if job is None:
            time.sleep(IDLE_S)
            continue
        try:
            jobs.run(job)
        except Exception:
            traceback.print_exc()


T = TypeVar("T")


def when_it_can_be_written(what: Callable[[], T], wait: Callable[[float], None] = time.sleep) -> T:
    """The answer of something that writes into the database, tried until it can: told once, and gone on with later."""
    from django.db import DatabaseError, connection

    from gristwright.store.trouble import trouble

    said = False
    while True:
        try:
            return what()
        except DatabaseError as fault:
            told = trouble(fault)
            if told is None:
                raise
            if not said:
                logging.getLogger("gristwright").error(told.sentence())
            said = True
            connection.close_if_unusable_or_obsolete()
            wait(TRY_AGAIN_S)


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
