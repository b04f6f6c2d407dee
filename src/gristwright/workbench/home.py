"""The data folder: where it is, its secret key, and nobody else may read it. See docs/desk.md."""

from __future__ import annotations

import os
import secrets
import sys
from pathlib import Path

VARIABLE = "GRISTWRIGHT_HOME"


def folder() -> Path:
    """The data folder, made if need be: GRISTWRIGHT_HOME, or where this system keeps a person's data."""
    path = Path(os.environ[VARIABLE]) if os.environ.get(VARIABLE) else _usual() / "gristwright"
    path = path.expanduser().resolve()
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path


def _usual() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")


def static() -> Path:
    """The folder of what pages load and nobody wrote here."""
    path = folder() / "static"
    path.mkdir(exist_ok=True)
    return path


def secret_key() -> str:
    """The key that signs cookies: made once, kept in the data folder, readable by its owner alone."""
    path = folder() / "secret_key"
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii")
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(50))
    return path.read_text(encoding="ascii")
