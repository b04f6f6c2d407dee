"""What a dossier says of the mash: its course, and what another temperature or thickness does. See docs/order.md."""

from __future__ import annotations

import math

import numpy as np

from gristwright.basics import Refused, Tick
from gristwright.casework.bench.bench import Bench
from gristwright.casework.mash_house.mash_bench import set_out
from gristwright.casework.mash_house.mash_run import run_on
from gristwright.casework.mash_house.over import setting_of, stands_at
from gristwright.casework.mash_house.vary import FERMENTABILITY, LITRES, UNCONVERTED, vary_on, with_waters
from gristwright.casework.mash_house.wash_run import wash_on
from gristwright.records.bill import Bill
from gristwright.records.mash_trials import Axis, MashPart, Moved, PlanCell, Variation
from gristwright.records.plant import MashPlan

# The grid is a first look on so many draws; the course and the litres stand on all of them.
MEMBERS = 256
AROUND_K, AROUND_L_PER_KG = (-4.0, -2.0, 0.0, 2.0, 4.0), (-0.5, 0.0, 0.5)
# Where the rest lies that turns the starch into sugar: both amylases work there (common practice).
CONVERTS_DEGC = (58.0, 72.0)
# A figure that moves by less over the whole grid is not worth a picture; our choice, below what mash houses can see.
WORTH_SHOWING = {LITRES: 1.0, FERMENTABILITY: 0.5, UNCONVERTED: 0.5}
MARGIN, MARGIN_WORTH_SHOWING = "margin", 0.05


def mash_part(bench: Bench, bill: Bill, tick: Tick) -> MashPart:
    """The mash and the wash of one bill simulated, and a grid of temperature and thickness around the house's plan."""
    few = bench.first(MEMBERS)
    tick(0, 1, "following the mash over time")
    run = run_on(bench, bill)
    tick(0, 1, "following the wash over time")
    wash = wash_on(bench, bill)
    try:
        grid = vary_on(few, bill, axes_around(few, bill), tick)
    except Refused:
        # Another plan than the house's own is an extra: without one the course stands alone.
        return MashPart(run, None, wash=wash)
    return MashPart(run, grid, temperature_words(bench.plant.mash), moved(grid), wash)


def axes_around(bench: Bench, bill: Bill) -> tuple[Axis, ...]:
    """Temperature and thickness around where the plan stands, inside what may be."""
    plant = with_waters(bench, bill, bench.plant)
    axes = []
    for key, steps in ((temperature_key(plant.mash), AROUND_K), ("mash.liquor_L_per_kg", AROUND_L_PER_KG)):
        setting, middle = setting_of(key), stands_at(plant, key)
        if middle is None:
            middle = round(set_out(bench, bill, bench.draws).programme.mashed_in_L_per_kg, 2)
        low, high = setting.limits
        values = tuple(round(middle + step, 2) for step in steps if low <= middle + step <= high)
        axes.append(Axis(key, setting, values))
    return tuple(axes)


def temperature_key(plan: MashPlan) -> str:
    """The setting by which this plan converts hotter or cooler: a rest, the mash with the malt behind a cook, or the
    liquor where the plan states it."""
    if plan.rests:
        return f"mash.rests.{conversion_rest(plan)}.settled_degC"
    if plan.cook_degC is not None or plan.liquor_degC is None:
        return "mash.settled_mash_degC"
    return "mash.liquor_degC"


def conversion_rest(plan: MashPlan) -> int:
    """Number of the rest that converts: the longest inside CONVERTS_DEGC, or the longest of all where none lies there.

    Of two as long it is the first. Rests are counted from 1.
    """
    low, high = CONVERTS_DEGC
    inside = [number for number, rest in enumerate(plan.rests, start=1) if low <= rest.settled_degC <= high]
    among = inside or range(1, len(plan.rests) + 1)
    return max(among, key=lambda number: plan.rests[number - 1].minutes)


def temperature_words(plan: MashPlan) -> str:
    """Which temperature of a plan is varied, and why it is that one."""
    if plan.rests:
        number = conversion_rest(plan)
        rest, (low, high) = plan.rests[number - 1], CONVERTS_DEGC
        among = f"of those at {low:g} to {high:g} °C, where starch becomes sugar"
        why = f"the longest {among if low <= rest.settled_degC <= high else 'of all, for none converts'}"
        named = f"Varied is rest {number}, {rest.minutes:g} minutes at {rest.settled_degC:g} °C"
        return f"{named}." if len(plan.rests) == 1 else f"{named}, {why}."
    if plan.cook_degC is not None:
        return "Varied is the temperature at which the mash stands with the malt, behind the cook."
    return "Varied is the temperature of the liquor, which the mash settles by." if plan.liquor_degC is not None else ""


def moved(grid: Variation) -> tuple[Moved, ...]:
    """How far every figure and the worst board move over the grid, and whether that is worth a picture.

    A figure is worth one where plans lie further apart than WORTH_SHOWING, and than the half band of one such change,
    or where only some plans have it. The margin is a share of the draws and has no band of its own.
    """
    cells = [cell for cell in (grid.today, *grid.cells) if not cell.cannot]
    figures = tuple(_figure_moved(grid, cells, key) for key in grid.keys if key in WORTH_SHOWING and grid.has(key))
    margins = [cell.margin for cell in cells if not math.isnan(cell.margin)]
    by = max(margins) - min(margins) if margins else 0.0
    return (*figures, Moved(MARGIN, by, by > MARGIN_WORTH_SHOWING))


def _figure_moved(grid: Variation, cells: list[PlanCell], key: str) -> Moved:
    middles = [cell.figures[key].band.middle for cell in cells if key in cell.figures]
    bands = [cell.changes[key].band for cell in grid.cells if key in cell.changes]
    noise = float(np.median([0.5 * (band.high - band.low) for band in bands])) if bands else 0.0
    by = max(middles) - min(middles)
    sure = any(not band.includes_zero for band in bands)
    return Moved(key, by, len(middles) < len(cells) or (sure and by > max(WORTH_SHOWING[key], noise)))
