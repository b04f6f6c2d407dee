"""Where a person's data is kept, by the desk and by the terminal alike. See docs/desk.md."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from gristwright.basics import Problem, Refused

VARIABLE = "GRISTWRIGHT_HOME"
WHOLE = f"Set {VARIABLE} to a path from the root."


def data_folder() -> Path:
    """The data folder, there or not: as it is named, with its links followed. Raises Refused as `named_folder` does."""
    path = named_folder()
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError):
        what = f"{str(path)!r} is no path that can be followed; its links lead in a circle."
        raise Refused([Problem(VARIABLE, what, WHOLE)]) from None


def named_folder() -> Path:
    """GRISTWRIGHT_HOME, or where this system keeps a person's data. Raises Refused for a name that means a folder here
    and another one elsewhere.
    """
    named = os.environ.get(VARIABLE, "")
    try:
        path = Path(named).expanduser() if named else _usual() / "gristwright"
    except RuntimeError:
        raise Refused([Problem(VARIABLE, f"{named!r} names a home that is not known.", WHOLE)]) from None
    if not path.is_absolute() or "\0" in named:
        raise Refused([Problem(VARIABLE, f"{named!r} is no whole path.", WHOLE)])
    return path


def _usual() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    named = Path(os.environ.get("XDG_DATA_HOME") or "")
    return named if named.is_absolute() else Path.home() / ".local" / "share"
