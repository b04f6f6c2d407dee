"""The types of malt and grain, with what each usually shows. Data: reference/tables/types.*; page: docs/grist.md."""

from __future__ import annotations

from functools import cache

from gristwright.basics import Problem, Refused, Standing, Where, refuse_if_any
from gristwright.records.lot import Material, TypicalValue
from gristwright.reference import csv_rows, toml_table
from gristwright.reference.type_names import type_named
from gristwright.reference.type_questions import not_a_type
from gristwright.stages.grist.derived_types import with_derived
from gristwright.stages.grist.type_rows import type_problems


@cache
def materials() -> dict[str, Material]:
    """Every type by its key. Raises Refused with every type that is only half there."""
    refuse_if_any(type_problems())
    return {key: _material(key) for key in toml_table("tables/types.toml")["type"]}


def _material(key: str) -> Material:
    table = toml_table("tables/types.toml")
    entry = table["type"][key]
    rows = [row for row in csv_rows("tables/types.csv") if row["material"] == key]
    words = {name: entry[name] for name in ("title", "species", "malted", "form", "process", "specialty")}
    typical = with_derived({row["field"]: _typical(row) for row in rows}, entry["species"])
    done = table["process"][entry["process"]]
    made = {"smoke": entry.get("smoke", ""), "dark": done["dark"], "opened": done.get("opened", False)}
    return Material(key=key, typical=typical, **made, **words)


def _typical(row: dict[str, str]) -> TypicalValue:
    numbers = {name: float(row[name]) for name in ("low", "middle", "high", "least", "warn_low", "warn_high", "most")}
    return TypicalValue(unit=row["unit"], standing=Standing(row["standing"]), source=row["source"], **numbers)


def material_named(key: str, where: Where) -> Material:
    """The type of that key or plain name. Raises Refused naming the nearest ones, or what the name leaves open."""
    known = key if key in materials() else type_named(key)
    if known is not None:
        return materials()[known]
    raise Refused([Problem(where, *not_a_type(key))])
