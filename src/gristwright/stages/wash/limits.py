"""What a washback may be set with. See docs/wash.md."""

from __future__ import annotations

from gristwright.basics import Address, Problem
from gristwright.records.plant import Washbacks

COUNT = (1, 200)
VOLUME_L = (50.0, 500_000.0)
HOURS = (36.0, 160.0)
SET_DEGC = (10.0, 32.0)
COOLING = ("none", "jacket", "coil", "exchanger")


def washback_problems(washbacks: Washbacks, where: Address) -> list[Problem]:
    """Number, volume, hours and set temperature outside what a distiller runs, and an unknown way of cooling."""
    checks = (
        ("count", washbacks.count, COUNT, "washbacks"),
        ("volume_L", washbacks.volume_L, VOLUME_L, "L"),
        ("hours", washbacks.hours, HOURS, "h"),
        ("set_degC", washbacks.set_degC, SET_DEGC, "degC"),
    )
    found = [
        Problem(where.to(field), f"{value:g} {unit} is outside {low:g}-{high:g} {unit}.", "Correct the plant.")
        for field, value, (low, high), unit in checks
        if not low <= value <= high
    ]
    if washbacks.cooling not in ("", *COOLING):
        what = f"{washbacks.cooling!r} is not known here."
        found.append(Problem(where.to("cooling"), what, f"Use one of: {', '.join(COOLING)}."))
    return found
