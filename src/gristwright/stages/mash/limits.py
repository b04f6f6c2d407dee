"""What a mash plan may be. See docs/mash.md."""

from __future__ import annotations

from typing import TypeAlias

from gristwright.basics import Address, Problem
from gristwright.records.plant import CookerPlan, MashPlan
from gristwright.stages.mash.limits_plan import plan_problems

KG_PER_MASH = (1.0, 100_000.0)
VOLUME_L_PER_T = (2500.0, 9000.0)
SETTLED_DEGC = (40.0, 78.0)
COOK_DEGC = (60.0, 160.0)
MASH_PH = (4.5, 6.5)
PREMALT_PCT = (0.0, 20.0)
BACKSET_PCT = (0.0, 60.0)
PLATE_M2 = (0.1, 500.0)
RUN_OFF_HOURS = (0.2, 24.0)
WATERS = ("first", "second", "third", "fourth")
WATER_L_PER_KG = (0.2, 8.0)
WATER_SETTLED_DEGC = (40.0, 98.0)
GRIST_DEGC = (-10.0, 45.0)
VESSEL_LOSS_K = (0.0, 10.0)
WEIGHING_KG = (0.1, 2000.0)
GAP_MM = (0.2, 4.0)
AIM_PH = (4.8, 6.0)
STAND_MIN = (5.0, 240.0)
BOILING_DEGC = 100.0
VESSELS = ("tun", "lauter", "filter")
VESSEL_L = (5.0, 1_000_000.0)
LIQUOR_DEGC = (20.0, BOILING_DEGC)
LIQUOR_L_PER_KG = (1.5, 12.0)
REST_DEGC = (5.0, BOILING_DEGC)
REST_MIN = (0.0, 600.0)
RAMP_K_PER_MIN = (0.1, 5.0)
LATER_STAND_MIN = (0.0, 240.0)
RUN_OFF_MIN = (5.0, 480.0)
WATERS_TO_WASHBACK = (1.0, 4.0)
COOKER_MIN = (0.0, 240.0)  # of each step of a cook
CALCIUM_MG_PER_L = (0.0, 600.0)
ALKALINITY_MG_PER_L = (0.0, 600.0)

# Path of a field below the mash, its value, limits, unit.
Checked: TypeAlias = tuple[tuple[str | int, ...], float | None, tuple[float, float], str]


def mash_problems(plan: MashPlan, where: Address) -> list[Problem]:
    """Everything outside what the published balance was made for."""
    checks = (
        ("kg_per_mash", plan.kg_per_mash, KG_PER_MASH, "kg", "Give the grist of one mash."),
        (
            "wort_L_per_t",
            plan.wort_L_per_t,
            VOLUME_L_PER_T,
            "litres a tonne",
            "Give the volume a tonne of grist fills.",
        ),
        ("settled_mash_degC", plan.settled_mash_degC, SETTLED_DEGC, "degC", "Give the settled mash, not the liquor."),
        ("cook_degC", plan.cook_degC, COOK_DEGC, "degC", "Leave it out when there is no cooker."),
        ("mash_pH", plan.mash_pH, MASH_PH, "pH", "Leave it out when it was not measured."),
        ("premalt_pct", plan.premalt_pct, PREMALT_PCT, "%", "Give the malt in the cooker in % of the grist."),
        ("backset_pct", plan.backset_pct, BACKSET_PCT, "%", "Give thin stillage in % of the mash liquor."),
    )
    found = [
        Problem(where.to(field), f"{value:g} {unit} is outside {low:g}-{high:g} {unit}.", way_out)
        for field, value, (low, high), unit, way_out in checks
        if value is not None and not low <= value <= high
    ]
    found += order_problems(plan, where) + water_problems(plan, where) + step_problems(plan, where)
    return found + plan_problems(plan, where)


def step_problems(plan: MashPlan, where: Address) -> list[Problem]:
    """What only the simulated mash reads: steps, liquor, vessel, and the analysis of the water."""
    checks: list[Checked] = [
        (("vessel_L",), plan.vessel_L, VESSEL_L, "L"),
        (("liquor_degC",), plan.liquor_degC, LIQUOR_DEGC, "degC"),
        (("liquor_L_per_kg",), plan.liquor_L_per_kg, LIQUOR_L_PER_KG, "L/kg"),
        (("ramp_K_per_min",), plan.ramp_K_per_min, RAMP_K_PER_MIN, "K/min"),
        (("later_stand_min",), plan.later_stand_min, LATER_STAND_MIN, "min"),
        (("run_off_min",), plan.run_off_min, RUN_OFF_MIN, "min"),
        (("waters_to_washback",), plan.waters_to_washback, WATERS_TO_WASHBACK, "waters"),
        (("water", "calcium_mg_per_L"), plan.calcium_mg_per_L, CALCIUM_MG_PER_L, "mg/L"),
        (("water", "alkalinity_mg_per_L"), plan.alkalinity_mg_per_L, ALKALINITY_MG_PER_L, "mg/L"),
    ]
    for number, rest in enumerate(plan.rests, start=1):
        checks.append((("rests", number, "settled_degC"), rest.settled_degC, REST_DEGC, "degC"))
        checks.append((("rests", number, "minutes"), rest.minutes, REST_MIN, "min"))
    checks += _cooker_checks(plan.cooker) if plan.cooker else []
    found = [
        problem
        for path, value, limits, unit in checks
        if value is not None
        for problem in _outside(where.to(*path), value, limits, unit)
    ]
    if plan.vessel not in VESSELS:
        found.append(
            Problem(where.to("vessel"), f"{plan.vessel!r} is no vessel.", f"Use one of: {', '.join(VESSELS)}.")
        )
    return found


def _cooker_checks(cooker: CookerPlan) -> list[Checked]:
    return [
        (("cooker", "cook_min"), cooker.cook_min, COOKER_MIN, "min"),
        (("cooker", "slurry_degC"), cooker.slurry_degC, REST_DEGC, "degC"),
        (("cooker", "second_degC"), cooker.second_degC, REST_DEGC, "degC"),
        (("cooker", "second_min"), cooker.second_min, COOKER_MIN, "min"),
        (("cooker", "malt_min"), cooker.malt_min, COOKER_MIN, "min"),
    ]


def order_problems(plan: MashPlan, where: Address) -> list[Problem]:
    """What only the mash-house order reads."""
    checks = (
        ("grist_degC", plan.grist_degC, GRIST_DEGC, "degC"),
        ("vessel_loss_K", plan.vessel_loss_K, VESSEL_LOSS_K, "K"),
        ("bag_kg", plan.bag_kg, WEIGHING_KG, "kg"),
        ("silo_kg", plan.silo_kg, WEIGHING_KG, "kg"),
        ("mill_gap_mm", plan.mill_gap_mm, GAP_MM, "mm"),
        ("pH_aim", plan.pH_aim, AIM_PH, "pH"),
        ("stand_min", plan.stand_min, STAND_MIN, "min"),
    )
    return [
        problem
        for field, value, limits, unit in checks
        if value is not None
        for problem in _outside(where.to(field), value, limits, unit)
    ]


def water_problems(plan: MashPlan, where: Address) -> list[Problem]:
    """Waters named twice, out of their order, or outside what a tun takes."""
    names = [water.name for water in plan.waters]
    found = []
    if names != list(WATERS[: len(names)]):
        way_out = f"Name them from the first on, each once: {', '.join(WATERS)}."
        found.append(Problem(where.to("waters"), f"{', '.join(names)} is not the order of the waters.", way_out))
    for water in plan.waters:
        place = where.to("waters", water.name)
        found += _outside(place.to("L_per_kg"), water.L_per_kg, WATER_L_PER_KG, "L/kg")
        found += _outside(place.to("settled_degC"), water.settled_degC, WATER_SETTLED_DEGC, "degC")
    return found


def _outside(place: Address, value: float, limits: tuple[float, float], unit: str) -> list[Problem]:
    low, high = limits
    if low <= value <= high:
        return []
    return [Problem(place, f"{value:g} {unit} is outside {low:g}-{high:g} {unit}.", "Correct it or check the unit.")]


def liquor_problems(liquor_degC: float, above_grist_K: float, settled_degC: float, where: Address) -> list[Problem]:
    """A liquor that boils, or that would have to be colder than the grist."""
    if liquor_degC > BOILING_DEGC:
        what = f"liquor of {liquor_degC:.1f} degC would be needed to settle at {settled_degC:g} degC: it boils at 100."
        return [Problem(where, what, "Use more litres a kilogram, warm the grist or the tun, or settle lower.")]
    if above_grist_K < 0.0:
        what = f"liquor of {liquor_degC:.1f} degC would be colder than the grist to settle at {settled_degC:g} degC."
        return [Problem(where, what, "Check the temperature of the grist, or use more litres a kilogram.")]
    return []
