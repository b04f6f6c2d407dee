"""The worker process: takes the jobs one after the other, and ends when the desk that started it ends."""

from __future__ import annotations

import os
import sys
import threading
import time
import traceback

IDLE_S = 0.3


def main() -> None:
    """Work until standard input is closed, which is what the end of the desk does to it, however it ends."""
    threading.Thread(target=_end_with_the_desk, daemon=True).start()
    set_up()
    from gristwright.workbench import jobs

    while True:
        job = jobs.claim()
        if job is None:
            time.sleep(IDLE_S)
            continue
        try:
            jobs.run(job)
        except Exception:
            traceback.print_exc()


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
