"""Where a running program puts what it needs for a moment: a folder of its own, gone when it ends, however it ends.

A program that was killed cannot tidy up, so the next one does: a lock goes with the process that holds it, and what
nobody holds is swept. Standard library only, for every command begins here. See docs/files.md.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import secrets
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

PREFIX = "gristwright-run-"
# A folder younger than this may not have been locked yet by who made it [s].
SETTLED_S = 60.0
_held: list[int] = []


def own_scratch() -> Path | None:
    """A folder for everything temporary of this process, after those of killed ones are swept; None where none can be.

    Whatever asks `tempfile` for a place from now on gets one inside.
    """
    if _held or sys.platform == "win32":
        return None
    with contextlib.suppress(OSError):
        among = Path(tempfile.gettempdir())
        sweep(among)
        folder = among / f"{PREFIX}{os.getpid()}-{secrets.token_hex(4)}"
        folder.mkdir(mode=0o700)
        handle = held(folder)
        _held.append(-1 if handle is None else handle)
        tempfile.tempdir = str(folder)
        atexit.register(shutil.rmtree, folder, ignore_errors=True)
        return folder
    return None


def sweep(among: Path, settled_s: float = SETTLED_S) -> None:
    """Take away what killed processes of this user left in a folder; what is held by a living one stays."""
    for folder in among.glob(f"{PREFIX}*"):
        with contextlib.suppress(OSError, ValueError):
            told = folder.lstat()
            alive = _alive(int(folder.name.removeprefix(PREFIX).partition("-")[0]))
            if told.st_uid != os.getuid() or (alive and time.time() - told.st_mtime < settled_s):
                continue
            handle = held(folder)
            if handle is not None:
                shutil.rmtree(folder, ignore_errors=True)
                os.close(handle)


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def held(folder: Path) -> int | None:
    """A folder locked for this process until the handle is closed or the process ends; None when another holds it.

    Raises OSError where folders cannot be locked.
    """
    import fcntl

    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(handle)
        return None
    except OSError:
        os.close(handle)
        raise
    return handle


@contextlib.contextmanager
def holding(folder: Path, seconds: float) -> Iterator[bool]:
    """Hold a folder, waiting so long for whoever has it [s]; whether it is held. Where it cannot be locked it is not.

    Raises TimeoutError when the other one keeps it.
    """
    until = time.monotonic() + seconds
    try:
        while (handle := held(folder)) is None:
            if time.monotonic() > until:
                raise TimeoutError
            time.sleep(0.05)
    except (ImportError, OSError) as error:
        if isinstance(error, TimeoutError):
            raise
        yield False
        return
    try:
        yield True
    finally:
        os.close(handle)
