"""One simulated mash as a distiller reads it: its course, where it ends, what goes where, what to measure next.

See docs/mash_simulation.md.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Band, Draws, FloatArray, Refused
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.grounds import HOUSE, assumptions, named
from gristwright.casework.mash_house.mash_bench import grist_bench, quick_course, range_warnings, set_out
from gristwright.casework.mash_house.measuring import measure_next, suspected
from gristwright.casework.mash_house.worts import Carried, balance_wort
from gristwright.flowsheet import mashing
from gristwright.flowsheet.setting_out import SetOut
from gristwright.numerics import draws as drawing
from gristwright.numerics.runs import Runs
from gristwright.records.bill import Bill
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.mash import WASHBACK, DrawnWort, MashCourse
from gristwright.records.mash_trials import COURSES, ENZYMES, WHOLE_MASH, MashRun, WortLine
from gristwright.records.results import Figure
from gristwright.stages.mash import models
from gristwright.stages.mash.duty import mash_duty

RECORD_MIN = 2.0


def mash_run(
    sheet: BillSheet, lots: Sequence[Lot], members: int = drawing.MEMBERS, seed: int = drawing.SEED
) -> MashRun:
    """The simulated mash of a bill in its house, for distillers and brewers alike. Raises Refused with every fault."""
    return run_on(grist_bench(sheet, lots, members, seed), sheet.bill)


def run_on(bench: GristBench, bill: Bill) -> MashRun:
    """The simulated mash of a bill on a bench. Raises Refused for a plan that cannot be mashed."""
    boiled = bench.plant.wort_boiled
    ready = set_out(bench, bill, bench.draws)
    step_s = mashing.EFFECT_STEP_S
    course = models.simulate(ready.programme, ready.grains, ready.enzymes, bench.draws, step_s, RECORD_MIN)
    carried, runs = Carried(course, balance_wort(bench, bill)), bench.runs
    figures = (*end_figures(carried, runs), *duty_figures(bench, ready))
    suspects = suspected(bench, ends_of(course, boiled))

    def ends_on(draws: Draws, _: str) -> dict[str, FloatArray]:
        return ends_of(quick_course(set_out(bench, bill, draws), draws), boiled)

    return MashRun(
        bill.name,
        bench.plant.name,
        tuple(float(t) for t in course.times_min),
        tuple(float(t) for t in course.settled_degC),
        tuple((corner.at_min, corner.settled_degC) for corner in ready.programme.corners),
        {key: _bands(_course(carried, key), runs) for key in COURSES if key not in lacking(course)},
        figures,
        _worts(carried, runs),
        measure_next(bench, suspects, dict.fromkeys(suspects, "points"), ends_on),
        assumptions(bench, named(figures)),
        tuple(dict.fromkeys((*bench.warnings, *course.warnings, *range_warnings(ready, boiled)))),
        course.balance_error,
    )


def lacking(course: MashCourse) -> tuple[str, ...]:
    """The enzymes that the model of a course does not follow."""
    return tuple(key for key in ENZYMES if getattr(course, key) is None)


def _course(carried: Carried, key: str) -> FloatArray:
    course = carried.course
    if key == "wort_g_per_100g":
        return carried.strength_g_per_100g()
    if key == "starch_kg_per_t":
        return course.unopened_starch_kg_per_t + course.open_starch_kg_per_t
    return np.asarray(getattr(course, key))


def _bands(values: FloatArray, runs: Runs) -> tuple[Band, ...]:
    return tuple(runs.band(row) for row in values)


def end_figures(carried: Carried, runs: Runs) -> tuple[Figure, ...]:
    """Where the mash ends: starch, fermentability now and unboiled, the wort of the balance."""
    course, wort = carried.course, carried.wort
    ferments = course.fermentability
    rows = (
        ("unconverted_pct", "starch not converted", "% of the starch", course.unconverted_pct, 1),
        ("now_pct", "fermentable as it is, and boiled", "% of the extract", ferments.now_pct, 1),
        ("unboiled_pct", "fermentable unboiled", "% of the extract", ferments.unboiled_pct, 1),
        ("unboiled_kg_per_t", "fermentable extract unboiled", "kg/t", carried.extract * ferments.unboiled_kg_per_t, 0),
        ("original_gravity_degP", "into the washback", "degP", wort.original_gravity_degP, 1),
        ("original_gravity_sg", "into the washback", "SG", wort.original_gravity_sg, 4),
        ("volume_L_per_t", "into the washback", "L/t", wort.volume_L_per_t, 0),
        ("mash_pH", "mash pH", "pH", course.mash_pH, 2),
    )
    return tuple(Figure.of(key, label, unit, v, digits, runs, HOUSE) for key, label, unit, v, digits in rows)


def duty_figures(bench: GristBench, ready: SetOut) -> tuple[Figure, ...]:
    """Heat to be brought and to be taken away in one tonne's mash; none where a liquor cannot be had."""
    try:
        duty = mash_duty(
            ready.programme, ready.grains, bench.plant.washbacks.set_degC, vessel_loss_K=bench.plant.mash.vessel_loss_K
        )
    except Refused:
        return ()
    rows = (
        ("heating_MJ_per_t", "heat for liquor and ramps", duty.heating_MJ_per_t),
        ("cooling_MJ_per_t", "cooling down to the washback", duty.cooling_MJ_per_t),
    )
    spread = np.zeros(drawing.members_of(bench.draws))
    return tuple(Figure.of(k, label, "MJ/t", spread + v, 0, bench.runs, HOUSE) for k, label, v in rows)


def _worts(carried: Carried, runs: Runs) -> tuple[WortLine, ...]:
    course = carried.course
    if course.worts:
        return tuple(_wort(carried, wort, runs) for wort in course.worts)
    alive = {key: runs.band(100.0 * _course(carried, key)[-1]) for key in ENZYMES if key not in lacking(course)}
    whole, line = course.washback, (WHOLE_MASH, WASHBACK, float(course.times_min[-1]))
    return (WortLine(*line, runs.band(carried.volume_L_per_t(whole)), runs.band(carried.degP(whole)), alive),)


def _wort(carried: Carried, wort: DrawnWort, runs: Runs) -> WortLine:
    living = {key: getattr(wort, key) for key in ENZYMES}
    alive = {key: runs.band(100.0 * share) for key, share in living.items() if share is not None}
    volume, degP = carried.volume_L_per_t(wort.liquid), carried.degP(wort.liquid)
    return WortLine(wort.name, wort.goes_to, wort.at_min, runs.band(volume), runs.band(degP), alive)


def ends_of(course: MashCourse, boiled: bool) -> dict[str, FloatArray]:
    """The two end values that inputs are held against, each (members,)."""
    ferments = course.fermentability
    return {
        "starch not converted": course.unconverted_pct,
        "fermentability": ferments.now_pct if boiled else ferments.unboiled_pct,
    }
