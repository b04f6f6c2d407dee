"""Whether a database can be opened, looked at before anything is written to it. See docs/desk.md.

SQLite makes a new database of a missing or empty file, and a log beside one that it opens. So the file is read as it
stands, and where a log with content lies beside it, under another name with a copy of that log.
"""

from __future__ import annotations

import datetime as dt
import os
import shutil
import sqlite3
from collections.abc import Collection, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.writing import ASIDE

# A larger one is not read through before it is opened: that would take longer than somebody waits.
MOST_READ_BYTES = 500_000_000
MOST_NAMED = 3
ANEW = "For an empty desk on purpose set GRISTWRIGHT_HOME to a new folder."

# Application and name of a step that a database has taken.
Step = tuple[str, str]


def refuse_unfit(base: Path, used: bool, known: Collection[Step], copies: Collection[Path]) -> None:
    """Raise Refused for a database that is missing or empty where a desk was `used`, damaged, another program's, or of
    a newer release, which has taken steps that are not `known`. Writes nothing to it.
    """
    size = base.stat().st_size if base.is_file() else 0
    if not base.exists() or (base.is_file() and not size):
        if used:
            how = "is empty" if base.exists() else "is missing"
            raise _refused(base, f"{how}, though a desk was kept in this folder.", _back_from(copies))
        return
    try:
        with _looking(base) as connection:
            _judge(base, connection, size, used, known, copies)
    except sqlite3.OperationalError as error:
        if "malformed" not in str(error):
            what = f"cannot be opened ({error})."
            raise _refused(base, what, "Look whether it is a file, and yours to read.") from None
        raise _damaged(base, copies) from None
    except sqlite3.DatabaseError:
        raise _damaged(base, copies) from None
    except OSError as error:
        raise _refused(base, f"cannot be read ({error.strerror}).", "Look whether its disk is well.") from None


def _judge(
    base: Path,
    connection: sqlite3.Connection,
    size: int,
    used: bool,
    known: Collection[Step],
    copies: Collection[Path],
) -> None:
    if size <= MOST_READ_BYTES and connection.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
        raise _damaged(base, copies)
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not tables:
        if used:
            raise _refused(base, "holds no table, though a desk was kept in this folder.", _back_from(copies))
        return
    if "django_migrations" not in tables:
        raise _refused(base, "is the database of another program.", "Set GRISTWRIGHT_HOME to the folder of your desk.")
    taken = connection.execute("SELECT app, name FROM django_migrations ORDER BY id")
    newest = max(name for app, name in known if app == "store")
    later = [f"{app}.{name}" for app, name in taken if (app, name) not in known and (app != "store" or name > newest)]
    if later:
        what = f"was kept by a newer release (its step {later[-1]} is not known to this one). It was not written to."
        raise _refused(base, what, "Open it with that release or a later one.")


@contextmanager
def _looking(base: Path) -> Iterator[sqlite3.Connection]:
    log = base.with_name(f"{base.name}-wal")
    if not (log.exists() and log.stat().st_size):
        with closing(_reading(base, "immutable=1")) as connection:
            yield connection
        return
    aside = base.with_name(f"{ASIDE}{os.getpid()}-look")
    aside.mkdir(mode=0o700)
    try:
        try:
            os.link(base, aside / base.name)
        except OSError:
            shutil.copyfile(base, aside / base.name)
        shutil.copyfile(log, aside / log.name)
        with closing(_reading(aside / base.name, "mode=ro")) as connection:
            yield connection
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _reading(base: Path, how: str) -> sqlite3.Connection:
    return sqlite3.connect(f"{base.as_uri()}?{how}", uri=True)


def _damaged(base: Path, copies: Collection[Path]) -> Refused:
    return _refused(base, "is damaged and was not opened. Nothing was changed.", _back_from(copies))


def _back_from(copies: Collection[Path]) -> str:
    """How to get the data back: from which copies, the newest first, and what must not stay beside them."""
    by_age = sorted(copies, key=lambda path: path.stat().st_mtime, reverse=True)
    days = [(path.name, dt.datetime.fromtimestamp(path.stat().st_mtime, dt.UTC).date()) for path in by_age[:MOST_NAMED]]
    named = ", ".join(f"{name} of {day.isoformat()}" for name, day in days)
    here = f"; copies made before earlier updates lie beside it: {named}" if named else ""
    return f"Put your last back-up in its place, without any file desk.sqlite3-wal or -shm{here}. {ANEW}"


def _refused(base: Path, what: str, way_out: str) -> Refused:
    return Refused([Problem(Address(str(base)), what, way_out)])
