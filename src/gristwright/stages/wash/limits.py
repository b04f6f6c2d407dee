"""What a washback may be set with. See docs/wash.md."""

from __future__ import annotations

from gristwright.basics import Problem
from gristwright.records.plant import Washbacks


def washback_problems(washbacks: Washbacks, where: str) -> list[Problem]:
    """Volume, hours and set temperature outside what a distiller runs."""
    checks = (
        ("volume_L", washbacks.volume_L, 50.0, 500_000.0, "litres in the washback"),
        ("hours", washbacks.hours, 36.0, 160.0, "hours from set to charge"),
        ("set_degC", washbacks.set_degC, 10.0, 32.0, "degC at set"),
    )
    return [
        Problem(f"{where}, {field}", f"{value:g} {words} is outside {low:g}-{high:g}.", "Correct the plant file.")
        for field, value, low, high, words in checks
        if not low <= value <= high
    ]
