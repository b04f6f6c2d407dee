"""The types of malt and grain, with what each usually shows. Data: reference/tables/types.*; page: docs/grist.md."""

from __future__ import annotations

import difflib
from functools import cache

from gristwright.basics import Problem, Refused, Standing
from gristwright.records.lot import Material, TypicalValue
from gristwright.reference import csv_rows, toml_table


@cache
def materials() -> dict[str, Material]:
    """Every type by its key."""
    return {key: _material(key) for key in toml_table("tables/types.toml")["type"]}


def _material(key: str) -> Material:
    entry = toml_table("tables/types.toml")["type"][key]
    rows = [row for row in csv_rows("tables/types.csv") if row["material"] == key]
    words = {name: entry[name] for name in ("title", "species", "malted", "form", "process", "specialty")}
    return Material(key=key, typical={row["field"]: _typical(row) for row in rows}, **words)


def _typical(row: dict[str, str]) -> TypicalValue:
    numbers = {name: float(row[name]) for name in ("low", "middle", "high", "least", "warn_low", "warn_high", "most")}
    return TypicalValue(unit=row["unit"], standing=Standing(row["standing"]), source=row["source"], **numbers)


def material_named(key: str, where: str) -> Material:
    """The type of that key. Raises Refused naming the nearest ones."""
    if key in materials():
        return materials()[key]
    near = difflib.get_close_matches(key, list(materials()), 2) or sorted(materials())
    raise Refused([Problem(where, f"material {key!r} is not in the types table.", f"Use one of: {', '.join(near)}.")])
