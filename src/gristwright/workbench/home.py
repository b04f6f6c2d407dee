"""The data folder: where it is, its secret key, and nobody else may read it. See docs/desk.md."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from gristwright.files.data_folder import VARIABLE, data_folder

__all__ = ["VARIABLE", "folder", "secret_key", "static"]


def folder() -> Path:
    """The data folder, made if need be."""
    path = data_folder()
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path


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
