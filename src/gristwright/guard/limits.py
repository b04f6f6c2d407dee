"""Limits that a process sets itself before it touches what may break it.

Processes that shall stay light load this, so it needs the standard library alone.
"""

from __future__ import annotations

import importlib.util
import os
from contextlib import suppress

# Whether this system can limit a process.
LIMITED = importlib.util.find_spec("resource") is not None


class Unlimited(Exception):
    """This system cannot limit what a process takes."""


def keep_within(memory: int, seconds: int, output: int) -> None:
    """Limit this process: address space and written file in bytes, computing time in seconds, no core file.

    Raises Unlimited.
    """
    import resource

    _limit(resource.RLIMIT_AS, memory)
    # A second to spare for the end by time, which is told apart from other deaths.
    _limit(resource.RLIMIT_CPU, seconds, 1)
    _limit(resource.RLIMIT_FSIZE, output)
    _limit(resource.RLIMIT_CORE, 0)


def keep_data_within(memory: int) -> None:
    """Limit what this process can write to in memory, in bytes; it writes no file.

    It is the limit for engines that set aside far more addresses than they use. Raises Unlimited.
    """
    import resource

    _limit(resource.RLIMIT_DATA, memory)
    _limit(resource.RLIMIT_FSIZE, 0)
    _limit(resource.RLIMIT_CORE, 0)


def _limit(what: int, most: int, spare: int = 0) -> None:
    import resource

    hard = resource.getrlimit(what)[1]
    highest = most + spare if hard == resource.RLIM_INFINITY else min(most + spare, hard)
    try:
        resource.setrlimit(what, (min(most, highest), highest))
    except (ValueError, OSError):
        raise Unlimited from None


def allow_more_time(seconds: float) -> None:
    """Let this process, which has no hard limit of time, compute so many seconds more on every processor it has."""
    if not LIMITED:
        return
    import resource

    used = resource.getrusage(resource.RUSAGE_SELF)
    most = int(used.ru_utime + used.ru_stime + seconds * (os.cpu_count() or 1)) + 1
    hard = resource.getrlimit(resource.RLIMIT_CPU)[1]
    with suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_CPU, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))
