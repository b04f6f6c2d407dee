"""The cooker of a house that mashes raw grain whole: what goes in at which temperature. See docs/order.md."""

from __future__ import annotations

from collections.abc import Collection

from gristwright.casework.bench.bench import Bench
from gristwright.casework.mash_house.order_waters import liquor_degC, readable_L
from gristwright.flowsheet.setting_out import goes_in_second
from gristwright.quantities.shown import plain
from gristwright.records.mash import MashProgramme
from gristwright.records.order import CookStep, Weighing
from gristwright.records.plant import MashPlan
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat

STIRRED = ("slowly, with the stirrer on", "common practice", "lumps do not cook")


def cooking(
    bench: Bench, programme: MashProgramme, weighed: Collection[Weighing], moisture_pct: float
) -> tuple[CookStep, ...]:
    """The steps from liquor to set temperature, in order; malt in the cooker comes off the largest malt.

    A mash without a cooker has all its grain in at once and goes on by the clock; one that is drawn off is not set.
    Husks and flaked grain go in with the malt: neither needs the cooker.
    """
    plan = bench.plant.mash
    shut = {b.lot.lot_id: b.material.raw and not b.material.opened for b in bench.lots}
    species = {b.lot.lot_id: b.material.species if shut[b.lot.lot_id] else "malt" for b in bench.lots}
    raw = [line for line in weighed if shut[line.lot_id]]
    late = [line for line in raw if goes_in_second(species[line.lot_id], plan)]
    early = [line for line in raw if line not in late]
    malts = sorted((line for line in weighed if species[line.lot_id] == "malt"), key=lambda line: -line.kg)
    premalt = min(plan.premalt_pct / 100.0 * plan.kg_per_mash, malts[0].kg) if malts and plan.cook_degC else 0.0
    total = programme.mashed_in_L_per_kg * plan.kg_per_mash
    if plan.cook_degC is None:
        first = programme.corners[0].settled_degC
        at = liquor_degC(plan, first, programme.mashed_in_L_per_kg, None, moisture_pct)
        grain = [_in(line, line.kg, None, *STIRRED) for line in (*malts, *early, *late)]
        settle = f"all together; the mash then settles at {plain(first, 1)} °C"
        stand = CookStep("stand by the clock", None, None, first, settle, "measured", "plant file")
        return (*_liquor(plan, total, at), *grain, stand, _set(bench))
    steps = [*_liquor(plan, total), *_cook(plan, early or late, malts, premalt), *_second(plan, late if early else [])]
    end = [_set(bench)] if bench.plant.grain_in else []
    return (*steps, *_malt(bench, malts, premalt, total, moisture_pct), *end)


def _liquor(plan: MashPlan, total: float, degC: float | None = None) -> list[CookStep]:
    """Water and backset, `total` litres together; a mash without a cooker says how warm they are."""
    backset = readable_L(plan.backset_pct / 100.0 * total)
    own = ("derived", "volume of the mash less the room of the dry grain")
    if plan.liquor_L_per_kg is not None:
        own = ("measured", "plant file")
    why = "together with the backset the liquor of the mash" if backset > 0.0 else "the liquor of the mash"
    steps = [CookStep("water", None, readable_L(total - backset), degC, why, *own)]
    if backset > 0.0:
        why = f"{plan.backset_pct:g} % of the liquor; check its pH and temperature first"
        steps.append(CookStep("backset", None, backset, None, why, "measured", "plant file"))
    return steps


def _cook(plan: MashPlan, grain: list[Weighing], malts: list[Weighing], premalt: float) -> list[CookStep]:
    row = _row("cook")
    steps = []
    if premalt > 0.0:
        steps.append(_in(malts[0], premalt, None, "malt in the cooker against lumps", "measured", "plant file"))
    steps += [_in(line, line.kg, None, *STIRRED) for line in grain]
    hold, own = f"{row['what']} {row['minutes_low']} to {row['minutes_high']} min", (row["standing"], row["source"])
    if plan.cooker is not None:
        hold, own = f"{row['what']} {plain(plan.cooker.cook_min, 0)} min", ("measured", "plant file")
    steps.append(CookStep(hold, None, None, plan.cook_degC, row["why"], *own))
    return steps


def _second(plan: MashPlan, late: list[Weighing]) -> list[CookStep]:
    if not late:
        return []
    row = _row("second")
    degC, own = float(row["degC"]), (row["standing"], row["source"])
    if plan.cooker is not None:
        degC, own = plan.cooker.second_degC, ("measured", "plant file")
    cool = CookStep("cool", None, None, degC, row["why"], *own)
    return [cool, *(_in(line, line.kg, degC, *STIRRED) for line in late)]


def _malt(bench: Bench, malts: list[Weighing], premalt: float, total: float, moisture_pct: float) -> list[CookStep]:
    if not malts:
        return []
    plan, row = bench.plant.mash, _row("malt")
    added = sum(line.kg for line in malts) - premalt
    ratio = float(heat.slaking(moisture_pct)[0])
    held = total + ratio * (plan.kg_per_mash - added)
    at = min(
        float(heat.before_adding_degC(plan.settled_mash_degC, plan.grist_degC, added, ratio, held)), float(row["degC"])
    )
    why = f"{row['what']} {plain(float(row['degC']), 1)} °C: {row['why']}"
    settle = f"so that the mash settles at {plain(plan.settled_mash_degC, 1)} °C with the malt in"
    steps = [CookStep("cool", None, None, at, settle, "derived", "heat balance, without the heat of slaking")]
    for k, line in enumerate(malts):
        kg = line.kg - (premalt if k == 0 else 0.0)
        if kg > 0.0:
            steps.append(_in(line, kg, None, why, row["standing"], row["source"]))
    hold = "until iodine stays yellow"
    if plan.cooker is not None:
        hold = f"{plain(plan.cooker.malt_min, 0)} min, and {hold}"
    steps.append(CookStep("hold", None, None, plan.settled_mash_degC, hold, "measured", "plant file"))
    return steps


def _set(bench: Bench) -> CookStep:
    why = "through the cooler, then yeast; quickly, or bacteria come first"
    return CookStep("cool and set", None, None, bench.plant.washbacks.set_degC, why, "measured", "plant file")


def _in(line: Weighing, kg: float, degC: float | None, why: str, standing: str, source: str) -> CookStep:
    return CookStep(f"{line.title} {line.lot_id}", kg, None, degC, why, standing, source)


def _row(key: str) -> dict[str, str]:
    return next(row for row in csv_rows("tables/cook_steps.csv") if row["key"] == key)
