"""The database brought up to date: copied aside first, for a step on the way may go wrong. See docs/desk.md."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


def bring_up_to_date() -> Path | None:
    """Take every step that is missing; the copy made before the first, None where there was nothing to copy."""
    plan = MigrationExecutor(connection).migration_plan(MigrationExecutor(connection).loader.graph.leaf_nodes())
    kept = _copied_aside(plan[-1][0].name) if plan and connection.introspection.table_names() else None
    call_command("migrate", interactive=False, verbosity=0)
    return kept


def _copied_aside(step: str) -> Path:
    """A copy of the whole database beside it, made as SQLite makes one while it is open; an older copy stays."""
    here = Path(connection.settings_dict["NAME"])
    names = (
        here.with_name(f"{here.stem}-before-{step}{more}.sqlite3") for more in ("", *(f"-{n}" for n in range(2, 99)))
    )
    there = next(name for name in names if not name.exists())
    connection.ensure_connection()
    with closing(sqlite3.connect(there)) as copy:
        connection.connection.backup(copy)
    there.chmod(0o600)
    return there
