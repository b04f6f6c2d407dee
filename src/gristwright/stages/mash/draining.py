"""How much wort comes first, how much is washed out after it, and what the grain keeps. See docs/mash.md."""

from __future__ import annotations

from functools import cache

import numpy as np

from gristwright.basics import FloatArray
from gristwright.records.mash import WASHBACK
from gristwright.records.plant import MashPlan, Rest
from gristwright.records.streams import Draining
from gristwright.reference import csv_rows
from gristwright.stages.mash.kept import EXTRACT_L_PER_KG, HELD_L_PER_KG
from gristwright.stages.mash.waters import sparged, usual_waters

USUAL_MOISTURE_PCT = 4.5
LEAST_FIRST_L_PER_KG = 0.2


@cache
def _rows() -> dict[str, dict[str, str]]:
    return {row["mash"]: row for row in csv_rows("tables/run_off_reference.csv")}


def _usual(plan: MashPlan) -> dict[str, str]:
    """The reference mash of a house that draws off waters, or rests and sparges."""
    return _rows()["rests" if plan.rests or plan.sparges else "waters"]


@cache
def reference(rests: bool) -> Draining:
    """The mash that reference hours and recoveries are said of; arrays (1,)."""
    row = _rows()["rests" if rests else "waters"]
    wort, degC, extract = (float(row[key]) for key in ("wort_L_per_kg", "degC", "extract_kg_per_kg"))
    plan = MashPlan(1000.0, 1000.0 * wort, settled_mash_degC=degC, rests=(Rest(degC, 60.0),) if rests else ())
    return draining(plan, np.array([extract]))


def draining(plan: MashPlan, extract_kg_per_kg: FloatArray) -> Draining:
    """First wort and washings of a mash; `extract_kg_per_kg` dissolved, (members,)."""
    wort, row = plan.wort_L_per_t / 1000.0, _usual(plan)
    if plan.sparges:
        found = sparged(plan, 1000.0 * float(row["extract_kg_per_kg"]), USUAL_MOISTURE_PCT)
        hot = plan.rests[-1].settled_degC if plan.rests else plan.settled_mash_degC
        weak = sum(sparge.L_per_kg for sparge in plan.sparges if sparge.goes_to != WASHBACK)
        through = max(sparge.liquor_degC for sparge in plan.sparges)
        return _drained(found.first_L_per_kg, wort, weak, extract_kg_per_kg, (hot, through))
    if plan.rests:
        liquor, hot = plan.liquor_L_per_kg or float(row["liquor_L_per_kg"]), plan.rests[-1].settled_degC
        return _drained(liquor, wort, 0.0, extract_kg_per_kg, (hot, max(hot, float(row["degC"]))))
    waters, into = plan.waters, plan.waters_to_washback
    if not waters:
        usual_kg = 1000.0 * float(row["extract_kg_per_kg"])
        first_L = plan.liquor_L_per_kg
        waters = usual_waters(plan.wort_L_per_t, plan.settled_mash_degC, usual_kg, USUAL_MOISTURE_PCT, first_L)
        into = 2
    warm = (waters[0].settled_degC, waters[min(into, len(waters)) - 1].settled_degC)
    weak = sum(water.L_per_kg for water in waters[into:])
    return _drained(waters[0].L_per_kg, wort, weak, extract_kg_per_kg, warm)


def _drained(liquor: float, wort: float, weak: float, extract: FloatArray, degC: tuple[float, float]) -> Draining:
    """Liquor, wort and weak wort in L/kg, extract (members,); each water mixes with what is held."""
    first = np.clip(liquor + EXTRACT_L_PER_KG * extract - HELD_L_PER_KG, LEAST_FIRST_L_PER_KG, wort)
    wash, kg_per_L = wort - first, extract / (liquor + EXTRACT_L_PER_KG * extract)
    held = HELD_L_PER_KG * kg_per_L
    washed = held * (1.0 - np.exp(-wash / HELD_L_PER_KG)) / np.maximum(wash, 1e-9)
    return Draining(
        first_L_per_kg=first,
        first_g_per_100g=100.0 * extract / (liquor + extract),
        first_degC=degC[0],
        wash_L_per_kg=wash,
        wash_g_per_100g=100.0 * washed / (1.0 + (1.0 - EXTRACT_L_PER_KG) * washed),
        wash_degC=degC[1],
        washed_L_per_kg=wash + weak,
        held_share=held / np.maximum(extract, 1e-9),
    )
