"""Folders that a run of tests keeps for itself: gone when it ends, and swept by the next one where it was killed."""

from __future__ import annotations

import atexit
import contextlib
import fcntl
import shutil
import tempfile
import time
from pathlib import Path
from typing import IO

HELD = "held.lock"
# A folder younger than this may not have been locked yet by who made it [s].
SETTLED = 60.0
_open: list[IO[str]] = []


def own_folder(prefix: str) -> str:
    """A new folder that is taken away when this process ends; those of the same name that nobody holds go first."""
    sweep(Path(tempfile.gettempdir()), prefix)
    folder = tempfile.mkdtemp(prefix=prefix)
    held = (Path(folder) / HELD).open("w")
    fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
    _open.append(held)
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def sweep(among: Path, prefix: str, settled: float = SETTLED) -> None:
    """Take away the folders of killed runs: a lock goes with the process that holds it. Others' are left alone."""
    for folder in among.glob(f"{prefix}*"):
        with contextlib.suppress(OSError), (folder / HELD).open("r+") as lock:
            if time.time() - folder.stat().st_mtime < settled:
                continue
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            shutil.rmtree(folder, ignore_errors=True)
