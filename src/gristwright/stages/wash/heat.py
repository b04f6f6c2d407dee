"""Heat in the washback: no model judges it, so it is said, with a caution where it may go wrong. See docs/wash.md."""

from __future__ import annotations

from functools import cache

from gristwright.quantities.shown import plain
from gristwright.records.washbacks import Washbacks
from gristwright.reference import csv_rows

COOLED = (
    "Heat in the fermenter is not judged: its temperature moves neither attenuation nor a board. "
    "A fermenter of beer is cooled (common practice)."
)


@cache
def line(key: str) -> float:
    """One line of reference/tables/washback_heat.csv, in the unit it is stored in."""
    return next(float(row["value"]) for row in csv_rows("tables/washback_heat.csv") if row["key"] == key)


def heat_cautions(washbacks: Washbacks, original_gravity_degP: float, brews: bool = False) -> tuple[str, ...]:
    """What every answer says of heat in the washback, and a caution where the wash may run too hot.

    A brewer cools, so that what a wash peaks at is nothing to him.
    """
    said = COOLED if brews else _not_judged()
    return (said, *([_caution(washbacks)] if may_run_hot(washbacks, original_gravity_degP) else []))


def _not_judged() -> str:
    usual, low, high = (line(key) for key in ("usual_set_degC", "peak_low_degC", "peak_high_degC"))
    return (
        "Heat in the washback is not judged: the set temperature moves neither the litres nor a board. "
        f"Common practice: set at {usual:g} degC a wash peaks at {low:g} to {high:g} degC."
    )


def may_run_hot(washbacks: Washbacks, degP: float) -> bool:
    """A strong wort set warm in a large washback that is not known to be cooled."""
    cooled = washbacks.cooling not in ("", "none")
    hot, strong = washbacks.set_degC > line("hot_set_degC"), degP > line("strong_degP")
    return hot and strong and washbacks.volume_L > line("large_L") and not cooled


def _caution(washbacks: Washbacks) -> str:
    stated = washbacks.cooling == "none"
    how = "without cooling" if stated else "whose cooling is not stated"
    way_out = "or cool the washbacks." if stated else "or state how the washbacks are cooled."
    return (
        f"Set at {washbacks.set_degC:g} degC, a wort of over {line('strong_degP'):g} degP in washbacks of "
        f"{plain(washbacks.volume_L, 0)} L {how} may pass {line('ceiling_degC'):g} degC: yeast dies and the "
        f"gravity stays high (estimate). Set it at about {line('usual_set_degC'):g} degC, {way_out}"
    )
