"""The database brought up to date: looked at and copied aside first, for a step on the way may go wrong.

See docs/desk.md.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from contextlib import closing
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from gristwright.store.before_opening import Step

HALF_COPIED = ".half"


def known_steps() -> set[Step]:
    """Every step that this release can take, by application and name. Asks no database."""
    return set(MigrationLoader(None).disk_migrations)


def bring_up_to_date() -> Path | None:
    """Take every step that is missing; the copy made before the first, None where there was nothing to copy."""
    plan = MigrationExecutor(connection).migration_plan(MigrationExecutor(connection).loader.graph.leaf_nodes())
    kept = _copied_aside(plan[-1][0].name) if plan and connection.introspection.table_names() else None
    call_command("migrate", interactive=False, verbosity=0)
    return kept


def _copied_aside(step: str) -> Path:
    """A copy of the whole database beside it, made as SQLite makes one while it is open; an older copy stays."""
    here = Path(connection.settings_dict["NAME"])
    for left in here.parent.glob(f"{here.stem}-before-*{HALF_COPIED}*"):
        left.unlink()
    names = (
        here.with_name(f"{here.stem}-before-{step}{more}.sqlite3") for more in ("", *(f"-{n}" for n in range(2, 999)))
    )
    there = next(name for name in names if not name.exists())
    half = there.with_name(f"{there.name}{HALF_COPIED}")
    try:
        os.close(os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        connection.ensure_connection()
        with closing(sqlite3.connect(half)) as copy:
            connection.connection.backup(copy)
        os.replace(half, there)
    except (sqlite3.Error, OSError):
        with contextlib.suppress(OSError):
            half.unlink(missing_ok=True)
        raise
    return there
