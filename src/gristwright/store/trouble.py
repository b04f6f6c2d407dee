"""What keeps a desk from writing that is no fault of ours: a full disk, one that can only be read. See docs/desk.md."""

from __future__ import annotations

import contextlib
import errno
import sqlite3
from collections.abc import Iterator

from django.db import DatabaseError

from gristwright.basics import Problem, Refused
from gristwright.files.data_folder import data_folder

FULL = "has no room left on its disk."
LOCKED = "database is locked"
MAKE_ROOM = "Make room there and try again."
WORDS = {
    "database or disk is full": (FULL, MAKE_ROOM),
    "readonly database": ("can only be read now.", "Make it writable for its owner and try again."),
    "disk I/O error": ("is on a disk that does not answer as it should.", "Look after that disk and try again."),
    "unable to open database file": ("cannot be opened now.", "Look whether its disk is there and has room."),
    LOCKED: ("is being written to by somebody else.", "Wait a moment and try again."),
    "disk image is malformed": ("is damaged.", "Stop the desk; when it is opened again it says what to do."),
}
CODES = {
    errno.ENOSPC: (FULL, MAKE_ROOM),
    errno.EDQUOT: ("is over your share of its disk.", MAKE_ROOM),
    errno.EROFS: ("is on a disk that can only be read now.", "Make it writable and try again."),
    errno.EIO: WORDS["disk I/O error"],
}


def trouble(fault: BaseException | None) -> Problem | None:
    """What of the disk or the database is behind a fault, with the way out; None for any other fault."""
    if isinstance(fault, Refused):
        return trouble(fault.__cause__)
    if isinstance(fault, DatabaseError | sqlite3.Error):
        found = next((told for words, told in WORDS.items() if words in str(fault)), None)
        return Problem(str(data_folder()), *found) if found else None
    if isinstance(fault, OSError) and fault.errno in CODES:
        where = str(fault.filename or data_folder())
        return Problem(where, *CODES[fault.errno])
    return None


@contextlib.contextmanager
def told_as_refusal() -> Iterator[None]:
    """Trouble with disk or database raised as Refused; any other fault as it is."""
    try:
        yield
    except (DatabaseError, sqlite3.Error, OSError) as fault:
        told = trouble(fault)
        if told is None:
            raise
        raise Refused([told]) from fault
