"""The lines by which a simulated wash is judged. Data: reference/tables/wash_lines.*; page: docs/wash.md."""

from __future__ import annotations

from functools import cache

from gristwright.records.washbacks import Washbacks
from gristwright.reference import csv_rows
from gristwright.stages.wash.setting import row, yeast_kind


@cache
def line(key: str) -> float:
    """One line, in the unit it is stored in."""
    return next(float(one["value"]) for one in csv_rows("tables/wash_lines.csv") if one["key"] == key)


def ceiling_degC(backs: Washbacks, brews: bool) -> float:
    """The warmest wash wanted: the house's own; else that of a distiller's yeast, or where another grows best."""
    if backs.ceiling_degC is not None:
        return backs.ceiling_degC
    kind = yeast_kind(backs, brews)
    if kind == "distilling":
        return line("ceiling_degC")
    return min(line("ceiling_degC"), float(row("yeasts", kind)["best_low_degC"]))
