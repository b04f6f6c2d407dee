"""The casks and generic stores that ship with the package; none is measured. See docs/cask.md."""

from __future__ import annotations

from gristwright.basics import Problem, Refused, Standing
from gristwright.records.cask import CaskKind, Climate
from gristwright.reference.load import csv_rows, toml_table
from gristwright.reference.spelling import one_of


def kind_names() -> tuple[str, ...]:
    """The kinds of cask in the table."""
    return tuple(row["name"] for row in csv_rows("tables/cask_kinds.csv"))


def kind_named(name: str) -> CaskKind:
    """A cask of the table, new and charred. Raises Refused for a name the table does not have."""
    for row in csv_rows("tables/cask_kinds.csv"):
        if row["name"] == name:
            return CaskKind(name, float(row["capacity_L"]), float(row["wall_mm"]))
    raise unknown("cask", name, kind_names())


def climate_names() -> tuple[str, ...]:
    """The generic stores, in the order of the table."""
    return tuple(dict.fromkeys(row["name"] for row in csv_rows("tables/climates.csv")))


def climate_named(name: str) -> Climate:
    """A generic store of the table: an estimate, no measured place. Raises Refused for an unknown name."""
    rows = sorted(
        (row for row in csv_rows("tables/climates.csv") if row["name"] == name), key=lambda r: int(r["month"])
    )
    if not rows:
        raise unknown("climate", name, climate_names())
    about = toml_table("tables/climates.toml")
    degC, humidity = (tuple(float(row[column]) for row in rows) for column in ("degC", "humidity"))
    return Climate(name, degC, humidity, about["source"], Standing(about["standing"]))


def unknown(where: str, name: str, names: tuple[str, ...]) -> Refused:
    """The refusal of a name that is not in the table."""
    return Refused([Problem(where, f"no {where} is called {name!r}.", one_of(name, names, "The table has"))])
