"""Waters and sparges of a house that states none, and the liquor of a whole mash. See docs/order.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Problem, Refused, at
from gristwright.records.fields import number_of
from gristwright.records.mash import WASHBACK
from gristwright.records.plant import MashPlan, Sparge, Water
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat
from gristwright.stages.mash.room import SOLIDS_L_PER_KG


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


@dataclass(frozen=True)
class Liquors:
    """What a mash that is run off and sparged lets in: litres at mashing in for each kilogram, then the sparges."""

    first_L_per_kg: float
    sparges: tuple[Sparge, ...]


def sparged(plan: MashPlan, extract_kg_per_t: float, moisture_pct: float) -> Liquors:
    """The liquors of a mash drawn off behind its rests or its cook: as stated, the rest by the water of the wort.

    Sparges that are not stated are one, and none where the liquor at mashing in brings the wort alone. Raises Refused
    where stated sparges leave too little for mashing in.
    """
    whole = heat.second_L_per_kg(plan.wort_L_per_t, extract_kg_per_t, 0.0, moisture_pct)
    if plan.sparges:
        later = sum(sparge.L_per_kg for sparge in plan.sparges if sparge.goes_to == WASHBACK)
        first = whole - later if plan.liquor_L_per_kg is None else plan.liquor_L_per_kg
        _enough_to_mash(first, later, whole)
        return Liquors(first, plan.sparges)
    usual = min(float(usual_mashing_in()["liquor_L_per_kg"]), whole)
    first = usual if plan.liquor_L_per_kg is None else plan.liquor_L_per_kg
    if whole - first < number_of(Sparge, "L_per_kg").least:
        return Liquors(first, ())
    return Liquors(first, (Sparge(whole - first, float(usual_sparge()["liquor_degC"])),))


def usual_mashing_in() -> dict[str, str]:
    """The row that says with how much liquor a mash is usually mashed in that is sparged, and what that rests on."""
    return next(row for row in csv_rows("tables/run_off_reference.csv") if row["mash"] == "rests")


def usual_sparge() -> dict[str, str]:
    """The row that says how hot the liquor of a sparge usually is, and what that rests on."""
    return csv_rows("tables/usual_sparge.csv")[0]


def _enough_to_mash(first: float, later: float, whole: float) -> None:
    least = number_of(MashPlan, "liquor_L_per_kg").least
    if first < least:
        what = f"sparges of {later:.2f} L/kg leave {first:.2f} L/kg of the wort's {whole:.2f} for mashing in."
        way_out = f"Sparge at most {max(whole - least, 0.0):.1f} L/kg, or give liquor_L_per_kg and the wort they make."
        raise Refused([Problem(at("plant", "mash", "sparges"), what, way_out)])


def liquor_L_per_kg(plan: MashPlan, moisture_pct: float) -> float:
    """Liquor [L/kg] of a whole mash: as stated, or its volume less the room of the dry grain, backset counted in."""
    if plan.liquor_L_per_kg is not None:
        return plan.liquor_L_per_kg
    return plan.wort_L_per_t / 1000.0 - SOLIDS_L_PER_KG * (1.0 - moisture_pct / 100.0)
