"""Where a person's data is kept, by the desk and by the terminal alike. See docs/desk.md."""

from __future__ import annotations

import os
import sys
from pathlib import Path

VARIABLE = "GRISTWRIGHT_HOME"


def data_folder() -> Path:
    """The data folder, there or not: GRISTWRIGHT_HOME, or where this system keeps a person's data."""
    path = Path(os.environ[VARIABLE]) if os.environ.get(VARIABLE) else _usual() / "gristwright"
    return path.expanduser().resolve()


def _usual() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
