"""The mash of a plant file into its plan, as a distiller writes it. See docs/files.md."""

from __future__ import annotations

import difflib
import math
from dataclasses import replace

from gristwright.basics import Refused
from gristwright.files.reader import Table, as_number, or_zero
from gristwright.records.plant import CookerPlan, MashPlan, Rest, Water
from gristwright.reference.grains import kept_raw
from gristwright.stages.mash import limits
from gristwright.stages.mash.limits_plan import plan_problems
from gristwright.stages.mash.settled import settled_by_liquor_degC

USUAL_SETTLED_DEGC = 64.0
NOT_READ = float("nan")


def read_mash(table: Table, grain_in: bool) -> MashPlan:
    """The plan of one mash; every fault is noted in the table's problems."""
    _no_strike(table, "liquor_degC for the water before it meets the grain, or settled_mash_degC for the mash after it")
    volume, words = ("mash_L_per_t", "L of mash a tonne") if grain_in else ("wort_L_per_t", "L of wort a tonne")
    water = table.table("water", required=False)
    plan = MashPlan(
        kg_per_mash=table.number("kg_per_mash", *limits.KG_PER_MASH, "kg"),
        wort_L_per_t=table.number(volume, *limits.VOLUME_L_PER_T, words),
        settled_mash_degC=table.number("settled_mash_degC", *limits.SETTLED_DEGC, "degC", USUAL_SETTLED_DEGC),
        mash_pH=table.optional_number("mash_pH", *limits.MASH_PH, "pH"),
        cook_degC=table.optional_number("cook_degC", *limits.COOK_DEGC, "degC"),
        premalt_pct=table.number("premalt_pct", *limits.PREMALT_PCT, "%", 0.0),
        backset_pct=table.number("backset_pct", *limits.BACKSET_PCT, "%", 0.0),
        plate_area_m2=table.optional_number("plate_area_m2", *limits.PLATE_M2, "m2"),
        usual_run_off_hours=table.optional_number("usual_run_off_hours", *limits.RUN_OFF_HOURS, "h"),
        waters=_waters(table.table("waters", required=False), table.has("liquor_degC")),
        grist_degC=table.number("grist_degC", *limits.GRIST_DEGC, "degC", 15.0),
        vessel_loss_K=table.number("vessel_loss_K", *limits.VESSEL_LOSS_K, "K", 0.0),
        bag_kg=table.number("bag_kg", *limits.WEIGHING_KG, "kg", 25.0),
        silo_kg=table.number("silo_kg", *limits.WEIGHING_KG, "kg", 5.0),
        mill_gap_mm=table.optional_number("mill_gap_mm", *limits.GAP_MM, "mm"),
        pH_aim=table.optional_number("pH_aim", *limits.AIM_PH, "pH"),
        stand_min=_minutes(table, "stand_min", limits.STAND_MIN) if table.has("stand_min") else None,
        vessel=table.choice("vessel", limits.VESSELS, "tun"),
        vessel_L=table.optional_number("vessel_L", *limits.VESSEL_L, "L"),
        liquor_degC=table.optional_number("liquor_degC", *limits.LIQUOR_DEGC, "degC"),
        liquor_L_per_kg=table.optional_number("liquor_L_per_kg", *limits.LIQUOR_L_PER_KG, "L/kg"),
        rests=_rests(table),
        ramp_K_per_min=table.number("ramp_K_per_min", *limits.RAMP_K_PER_MIN, "K/min", 1.0),
        later_stand_min=_minutes(table, "later_stand_min", limits.LATER_STAND_MIN, 20.0),
        run_off_min=_minutes(table, "run_off_min", limits.RUN_OFF_MIN, 40.0),
        waters_to_washback=_whole(table, "waters_to_washback", limits.WATERS_TO_WASHBACK, "waters", 2),
        cooker=_cooker(table.table("cooker")) if table.has("cooker") else None,
        calcium_mg_per_L=water.optional_number("calcium_mg_per_L", *limits.CALCIUM_MG_PER_L, "mg/L"),
        alkalinity_mg_per_L=water.optional_number("alkalinity_mg_per_L", *limits.ALKALINITY_MG_PER_L, "mg/L as CaCO3"),
    )
    _nothing_else_in_water(water)
    table.nothing_else()
    plan = _settled(table, plan)
    _cross_checks(table, plan, grain_in)
    return plan


def _cross_checks(table: Table, plan: MashPlan, grain_in: bool) -> None:
    """Faults between the fields; a field that was given and has its own fault does not count as missing."""
    cooks = plan.cook_degC is None and "cook_degC" in table.data
    found = plan_problems(replace(plan, cook_degC=NOT_READ) if cooks else plan, table.where, grain_in)
    told = {problem.where for problem in table.problems}
    # Warnings are said where the mash is computed.
    table.problems += [problem for problem in found if not problem.warning and problem.where not in told]


def _no_strike(table: Table, say: str) -> None:
    """A strike temperature is refused: one source means the liquor with it, another the mash."""
    for key in [key for key in table.data if "strike" in key.lower()]:
        table.has(key)
        table.fault(key, "is read two ways, as the liquor and as the settled mash.", f"Write {say}.")


def _minutes(table: Table, key: str, span: tuple[float, float], default: float | None = None) -> float:
    """Minutes that run forward."""
    try:
        backwards = table.has(key) and as_number(table.data[key]) < 0.0
    except Refused:
        backwards = False  # no number at all: said below
    if backwards:
        table.fault(key, f"{table.data[key]} min: time goes backwards.", "Give how long it lasts, zero or more.")
        return NOT_READ
    return table.number(key, *span, "min", default)


def _whole(table: Table, key: str, span: tuple[float, float], unit: str, default: int) -> int:
    value = table.number(key, *span, unit, float(default))
    if not math.isnan(value) and value != int(value):
        table.fault(key, f"{value:g} is not a whole number of {unit}.", "Give 1, 2, 3 or 4.")
        return default
    return int(or_zero(value)) or default


def _waters(table: Table, by_liquor: bool) -> tuple[Water, ...]:
    """The waters given, first to fourth; a later one without those before it is a fault.

    Where the plan gives its liquor, the first water settles where that brings it.
    """
    _no_strike(table, "settled_degC for the mash with that water")
    found = []
    for name in limits.WATERS:
        if not table.has(name):
            continue
        water = table.table(name)
        _no_strike(water, "settled_degC for the mash with that water")
        litres = water.number("L_per_kg", *limits.WATER_L_PER_KG, "L/kg")
        found.append(Water(name, litres, _water_settled(water, by_liquor and name == "first")))
        water.nothing_else()
    table.nothing_else(limits.WATERS)
    if [water.name for water in found] != list(limits.WATERS[: len(found)]):
        table.fault("first", "is missing while a later water is given.", "Give the waters from the first on.")
    return tuple(found)


def _water_settled(water: Table, by_liquor: bool) -> float:
    if by_liquor and not water.has("settled_degC"):
        return NOT_READ
    if by_liquor:
        what = "stands beside liquor_degC, which says already where the mash settles."
        water.fault("settled_degC", what, "Keep liquor_degC if the water is measured, settled_degC if the mash is.")
    return water.number("settled_degC", *limits.WATER_SETTLED_DEGC, "degC of the settled mash")


def _rests(table: Table) -> tuple[Rest, ...]:
    found = []
    for rest in table.tables("rests"):
        _no_strike(rest, "settled_degC for the mash")
        settled = rest.number("settled_degC", *limits.REST_DEGC, "degC of the settled mash")
        found.append(Rest(settled, _minutes(rest, "minutes", limits.REST_MIN)))
        rest.nothing_else()
    if table.data.get("rests") == []:
        table.fault("rests", "is an empty list.", "Write rests = [{settled_degC = 64, minutes = 60}], or take it out.")
    return tuple(found)


def _cooker(table: Table) -> CookerPlan:
    _no_strike(table, "slurry_degC for the cooker before it is heated")
    usual = CookerPlan()
    plan = CookerPlan(
        cook_min=_minutes(table, "cook_min", limits.COOKER_MIN, usual.cook_min),
        slurry_degC=table.number("slurry_degC", *limits.REST_DEGC, "degC", usual.slurry_degC),
        second_species=_species(table, "second_species"),
        second_degC=table.number("second_degC", *limits.REST_DEGC, "degC", usual.second_degC),
        second_min=_minutes(table, "second_min", limits.COOKER_MIN, usual.second_min),
        malt_min=_minutes(table, "malt_min", limits.COOKER_MIN, usual.malt_min),
    )
    table.nothing_else()
    return plan


def _species(table: Table, key: str) -> tuple[str, ...]:
    """Raw grains by the names of their cereals."""
    names = table.texts(key)
    known = kept_raw()
    for name in [name for name in names if name not in known]:
        near = difflib.get_close_matches(name, known, 1)
        hint = f"Did you mean {near[0]!r}?" if near else f"Use one of: {', '.join(sorted(known))}."
        table.fault(key, f"{name!r} is no raw grain we know.", hint)
    return tuple(name for name in names if name in known)


def _nothing_else_in_water(table: Table) -> None:
    """The analysis of the water and the waters of the tun are two tables of nearly the same name."""
    for key in [key for key in limits.WATERS if table.has(key)]:
        table.fault(key, "is a water of the tun; this table is the analysis of the liquor.", f"Write waters.{key}.")
    table.asked -= set(limits.WATERS) - set(table.data)
    table.nothing_else()


def _settled(table: Table, plan: MashPlan) -> MashPlan:
    """The plan with the settled temperature that its liquor or its rests give it."""
    if "liquor_degC" in table.data:
        return _by_liquor(table, plan)
    return _by_rests(table, plan) if plan.rests else plan


def _by_liquor(table: Table, plan: MashPlan) -> MashPlan:
    excluded = _beside_liquor(table, plan)
    if excluded:
        table.fault("liquor_degC", *excluded)
        return plan
    settled = settled_by_liquor_degC(plan)
    if settled is None or math.isnan(settled):
        return plan
    low, high = limits.SETTLED_DEGC
    if not low <= settled <= high:
        what = f"liquor of {plan.liquor_degC:g} degC settles the mash at {settled:.1f} degC, outside {low:g}-{high:g}."
        table.fault("liquor_degC", what, "Correct the liquor, its litres or grist_degC.")
        return plan
    first = tuple(replace(water, settled_degC=settled) for water in plan.waters[:1])
    return replace(plan, settled_mash_degC=settled, waters=first + plan.waters[1:])


def _beside_liquor(table: Table, plan: MashPlan) -> tuple[str, str] | None:
    """What stands against a liquor temperature, and the way out."""
    if "settled_mash_degC" in table.data:
        what = "stands beside settled_mash_degC; the one follows from the other."
        return what, "Keep liquor_degC if the water is measured, settled_mash_degC if the mash is."
    if plan.rests:
        return "stands beside rests; the first rest says where the mash settles.", "Take liquor_degC out."
    if "cook_degC" in table.data or plan.cooker is not None:
        what = "stands beside a cooker, whose slurry and malt have temperatures of their own."
        return what, "Give cooker.slurry_degC and settled_mash_degC, where the malt goes in, in its place."
    if not plan.waters and "liquor_L_per_kg" not in table.data:
        what = "needs the litres of that water before the mash can settle."
        return what, "Add liquor_L_per_kg, or waters.first with L_per_kg; or give settled_mash_degC."
    return None


def _by_rests(table: Table, plan: MashPlan) -> MashPlan:
    """Where nothing else is said, the boards go by the longest rest in which malt converts."""
    low, high = limits.SETTLED_DEGC
    fit = [rest for rest in plan.rests if low <= rest.settled_degC <= high]
    if any(math.isnan(rest.settled_degC) or math.isnan(rest.minutes) for rest in plan.rests):
        return plan
    if not fit:
        table.fault("rests", f"none lies in {low:g}-{high:g} degC, where malt converts.", "Add one there.")
        return plan
    if "settled_mash_degC" not in table.data:
        return replace(plan, settled_mash_degC=max(fit, key=lambda rest: rest.minutes).settled_degC)
    if plan.settled_mash_degC not in [rest.settled_degC for rest in fit]:
        what = f"{plan.settled_mash_degC:g} degC is none of the rests."
        table.fault("settled_mash_degC", what, "Take it out, or name the rest that the mash is judged by.")
    return plan
