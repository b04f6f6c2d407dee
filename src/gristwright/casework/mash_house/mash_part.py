"""What a dossier says of the mash: its course, and what another temperature or thickness does. See docs/order.md."""

from __future__ import annotations

from gristwright.basics import Refused, Tick
from gristwright.casework.bench.bench import Bench
from gristwright.casework.mash_house.mash_bench import set_out
from gristwright.casework.mash_house.mash_run import run_on
from gristwright.casework.mash_house.over import setting_of, stands_at
from gristwright.casework.mash_house.vary import vary_on, with_waters
from gristwright.records.bill import Bill
from gristwright.records.mash_trials import Axis, MashPart
from gristwright.records.plant import MashPlan

# The grid is a first look on so many draws; the course and the litres stand on all of them.
MEMBERS = 256
AROUND_K, AROUND_L_PER_KG = (-4.0, -2.0, 0.0, 2.0, 4.0), (-0.5, 0.0, 0.5)


def mash_part(bench: Bench, bill: Bill, tick: Tick) -> MashPart:
    """The mash of one bill simulated, and a grid of temperature and thickness around the house's plan."""
    few = bench.first(MEMBERS)
    tick(0, 1, "following the mash over time")
    run = run_on(bench, bill)
    try:
        grid = vary_on(few, bill, axes_around(few, bill), tick)
    except Refused:
        # Another plan than the house's own is an extra: without one the course stands alone.
        grid = None
    return MashPart(run, grid)


def axes_around(bench: Bench, bill: Bill) -> tuple[Axis, ...]:
    """Temperature and thickness around where the plan stands, inside what may be."""
    plan = with_waters(bench, bill, bench.plant).mash
    axes = []
    for key, steps in ((temperature_key(plan), AROUND_K), ("mash.liquor_L_per_kg", AROUND_L_PER_KG)):
        setting, middle = setting_of(key), stands_at(plan, key)
        if middle is None:
            middle = round(set_out(bench, bill, bench.draws).programme.mashed_in_L_per_kg, 2)
        low, high = setting.limits
        values = tuple(round(middle + step, 2) for step in steps if low <= middle + step <= high)
        axes.append(Axis(key, setting, values))
    return tuple(axes)


def temperature_key(plan: MashPlan) -> str:
    """The setting by which this plan is mashed hotter or cooler."""
    if plan.rests:
        return "mash.rests.1.settled_degC"
    return "mash.settled_mash_degC" if plan.liquor_degC is None else "mash.liquor_degC"
