"""What a mash plan may be. See docs/mash.md."""

from __future__ import annotations

from gristwright.basics import Problem
from gristwright.records.plant import MashPlan

WORT_L_PER_T = (3000.0, 8000.0)
SETTLED_DEGC = (55.0, 75.0)


def mash_problems(plan: MashPlan, where: str) -> list[Problem]:
    """Wort per tonne and settled temperature outside what the published balance was made for."""
    problems = []
    low, high = WORT_L_PER_T
    if not low <= plan.wort_L_per_t <= high:
        problems.append(
            Problem(
                f"{where}, wort_L_per_t",
                f"{plan.wort_L_per_t:g} litres of wort a tonne is outside {low:g}-{high:g}.",
                "Give the litres of wort collected per tonne of grist, usually about 5000.",
            )
        )
    low, high = SETTLED_DEGC
    if not low <= plan.settled_mash_degC <= high:
        problems.append(
            Problem(
                f"{where}, settled_mash_degC",
                f"{plan.settled_mash_degC:g} degC is outside {low:g}-{high:g} degC for the settled mash.",
                "Give the temperature of the settled mash, not of the liquor.",
            )
        )
    return problems
