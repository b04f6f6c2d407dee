"""The bytes of a file that a person names: only of a file, and never more of it than is read here. See docs/files.md.

A path may lead to a pipe, a device, a folder or a ring of links. What is no file is refused before it is opened, for
to open one may wait for ever or set something going; what it is, is looked at once more when it is open, for it may
have been exchanged meanwhile.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from itertools import islice
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.texts import named
from gristwright.reference.spelling import nearest

MOST_BYTES = 2_000_000
# Names beside a file that is not there, among which one like it is looked for.
MOST_BESIDE = 2_000
# No waiting at a pipe that took the place of a file, and no terminal taken over by opening one.
QUIETLY = os.O_RDONLY | sum(getattr(os, flag, 0) for flag in ("O_NONBLOCK", "O_NOCTTY", "O_CLOEXEC", "O_BINARY"))
OTHERS: tuple[tuple[Callable[[int], bool], str], ...] = (
    (stat.S_ISFIFO, "is a pipe, not a file."),
    (stat.S_ISSOCK, "is a socket, not a file."),
    (stat.S_ISCHR, "is a device, not a file."),
    (stat.S_ISBLK, "is a device, not a file."),
)
# What a system says of a path, in words that name the way out; {} is what is wanted.
SAID = {
    errno.ELOOP: ("is a link that leads back to itself.", "Give the {}, or mend the link."),
    errno.EACCES: ("may not be read by you.", "Let its owner give you the right, or give a copy."),
    errno.ENAMETOOLONG: ("is a name too long for this system.", "Give the {} a shorter one."),
    errno.ENOTDIR: ("lies below a file, not a folder.", "Give the path of the {}."),
}


def read_bytes(path: Path, what: str, most: int = MOST_BYTES, cut: str = "") -> bytes:
    """The bytes of a file of at most `most`; `what` it is and how it is `cut` smaller are for the message.

    Raises Refused when it is missing, no file, unreadable or too large.
    """
    try:
        _refuse_other(path, what, os.stat(path).st_mode)
        handle = os.open(path, QUIETLY)
        try:
            _refuse_other(path, what, os.fstat(handle).st_mode)
            with os.fdopen(handle, "rb", closefd=False) as stream:
                content = stream.read(most + 1)
        finally:
            os.close(handle)
    except (FileNotFoundError, ValueError):  # no path holds a NUL
        raise _no_file(path, what) from None
    except OSError as error:
        raise _refused(path, *_unread(error, what)) from None
    if content is None or len(content) > most:
        # A file of the system that has nothing to give yet reads as None.
        said = f"is larger than {most // 1_000_000} MB." if content else "gives nothing to read."
        raise _refused(path, said, cut or f"Is this the {what}?")
    return content


def _refuse_other(path: Path, what: str, mode: int) -> None:
    if stat.S_ISREG(mode):
        return
    if stat.S_ISDIR(mode):
        raise _refused(path, "is a folder.", f"Give the {what} in it.")
    said = next((said for is_one, said in OTHERS if is_one(mode)), "is no file.")
    raise _refused(path, said, f"Save what it gives in a file and give that as the {what}.")


def _refused(path: Path, what: str, way_out: str) -> Refused:
    return Refused([Problem(Address(named(str(path))), what, way_out)])


def _unread(error: OSError, what: str) -> tuple[str, str]:
    said, way_out = SAID.get(error.errno or 0, (f"cannot be read ({error.strerror}).", "Give the {}."))
    return said, way_out.format(what)


def _no_file(path: Path, what: str) -> Refused:
    """A link that leads nowhere, or no file: one of a name like it, or the path."""
    try:
        if path.is_symlink():
            return _refused(path, f"is a link to {os.readlink(path)}, which is not there.", f"Give the {what}.")
        with os.scandir(path.parent) as entries:
            near = nearest(path.name, [one.name for one in islice(entries, MOST_BESIDE) if one.is_file()], 1, 0.75)
    except (OSError, ValueError):
        near = []
    way_out = f"Did you mean {path.with_name(near[0])}?" if near else f"Give the path of the {what}."
    return _refused(path, "is not there.", way_out)
