"""The data folder: where it is, its secret key, whether it was a desk's, who may read it. See docs/desk.md."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.data_folder import VARIABLE, data_folder, named_folder
from gristwright.files.writing import unwritable, write_file

__all__ = ["VARIABLE", "folder", "secret_key", "static"]

DATABASE, KEY = "desk.sqlite3", "secret_key"
COPIES = "desk-before-*.sqlite3"
# Stands in a folder from the first start until its database is whole: what is missing meanwhile was never there.
BEGINNING = "beginning"
# What is asked of a key that signs.
LEAST_LETTERS, LEAST_DIFFERENT = 50, 5


def folder() -> Path:
    """The data folder, made if need be. Raises Refused when it is none, or cannot be made."""
    named, path = named_folder(), data_folder()
    try:
        if named.is_symlink() and not named.exists():
            what, way_out = f"is a link to {path}, which is not there.", "Bring that back, or take the link away."
            raise Refused([Problem(Address(str(named)), what, way_out)])
        path.mkdir(mode=0o700, parents=True, exist_ok=True)
    except FileExistsError:
        what, way_out = "is a file; the data of a desk are in a folder.", f"Set {VARIABLE} to a folder."
        raise Refused([Problem(Address(str(path)), what, way_out)]) from None
    except OSError as error:
        raise unwritable(path, error, "cannot be made: ") from error
    return path


def static() -> Path:
    """The folder of what pages load and nobody wrote here. Raises Refused when it cannot be made."""
    path = folder() / "static"
    try:
        path.mkdir(exist_ok=True)
    except OSError as error:
        raise unwritable(path, error, "cannot be made: ") from error
    return path


def secret_key() -> str:
    """The key that signs cookies, kept in the data folder, readable by its owner alone; a missing or weak one is made
    anew. Raises Refused when it cannot be read or made.
    """
    here = folder()
    key = _kept_key(here / KEY)
    if weak(key):
        if not was_used(here):
            write_file(here / BEGINNING, b"", private=True)
        key = secrets.token_urlsafe(LEAST_LETTERS)
        write_file(here / KEY, f"{key}\n".encode(), private=True)
    return key


def _kept_key(path: Path) -> str:
    try:
        return path.read_text(encoding="ascii").strip()
    except (FileNotFoundError, UnicodeDecodeError):
        return ""
    except OSError as error:
        raise unwritable(path, error, "cannot be read: ") from error


def weak(key: str) -> bool:
    """Whether a key is none that may sign."""
    return len(key) < LEAST_LETTERS or len(set(key)) < LEAST_DIFFERENT or not key.isprintable()


def key_to_be_made_anew(here: Path) -> list[str]:
    """What is to be said of a key that will be made anew, before it is."""
    if was_used(here) and weak(_kept_key(here / KEY)):
        how = "is damaged or too short to be safe" if (here / KEY).exists() else "is missing"
        return [f"{here / KEY} {how} and was made anew: everybody has to sign in again. All data are as they were."]
    return []


def was_used(here: Path) -> bool:
    """Whether a desk was kept in this folder before."""
    if (here / BEGINNING).exists():
        return False
    return any((here / name).exists() for name in (DATABASE, f"{DATABASE}-wal", KEY)) or any(here.glob(COPIES))


def begun(here: Path) -> None:
    """From now on a missing database is missed."""
    (here / BEGINNING).unlink(missing_ok=True)


def closed_to_others(here: Path) -> Iterator[str]:
    """Take from other users what they may do with the files of the desk; what was so, and what is left to the owner."""
    if os.name == "nt":
        return
    own = [path for path in (*here.glob(f"{DATABASE}*"), here / KEY, *here.glob(COPIES)) if path.is_file()]
    for path in (path for path in own if path.stat().st_mode & 0o077):
        try:
            path.chmod(0o600)
        except OSError as error:
            yield f"Others on this machine can read {path}, and that cannot be changed ({error.strerror})."
        else:
            yield f"Others on this machine could read {path}. Now its owner alone can."
    if here.stat().st_mode & 0o077:
        yield f'Others on this machine can look into {here}. Close it to them: chmod 700 "{here}"'
