"""The waters of a tun that states none, and the liquor of a mash that is not drawn off. See docs/order.md."""

from __future__ import annotations

from gristwright.basics import Problem, Refused, at
from gristwright.records.fields import number_of
from gristwright.records.plant import MashPlan, Water
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat
from gristwright.stages.mash.model import SOLIDS_L_PER_KG


def usual_waters(
    wort_L_per_t: float,
    settled_degC: float,
    extract_kg_per_t: float,
    moisture_pct: float,
    first_L_per_kg: float | None = None,
) -> tuple[Water, ...]:
    """The waters of a house that states none: their litres follow from the wort it collects.

    Where the first is stated, the second takes the rest of what the two need. Raises Refused when none is left.
    """
    both = heat.second_L_per_kg(wort_L_per_t, extract_kg_per_t, 0.0, moisture_pct)
    rows = {row["water"]: row for row in csv_rows("tables/waters.csv")}
    litres = {name: float(row["part_of_two"]) * both for name, row in rows.items()}
    if first_L_per_kg is not None:
        litres |= {"first": first_L_per_kg, "second": both - first_L_per_kg}
    least = number_of(Water, "L_per_kg").least
    if litres["second"] < least:
        where = at("plant", "mash", "liquor_L_per_kg")
        what = f"{first_L_per_kg:g} L/kg at mashing in leave {litres['second']:.1f} L/kg for the second water."
        raise Refused([Problem(where, what, f"At most {both - least:.1f} L/kg.")])
    settled = {name: settled_degC if name == "first" else float(row["settled_degC"]) for name, row in rows.items()}
    return tuple(Water(name, litres[name], settled[name]) for name in rows)


def liquor_L_per_kg(plan: MashPlan, moisture_pct: float) -> float:
    """Liquor [L/kg] of a whole mash: as stated, or its volume less the room of the dry grain, backset counted in."""
    if plan.liquor_L_per_kg is not None:
        return plan.liquor_L_per_kg
    return plan.wort_L_per_t / 1000.0 - SOLIDS_L_PER_KG * (1.0 - moisture_pct / 100.0)
