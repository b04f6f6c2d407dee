"""The house's own course of a fermentation moves the pace of its yeast. See docs/wash.md.

Every draw is given the pace with which its own wash passes the readings, whatever else it holds of pitch, lag, heat and
enzymes: so the answer runs through the house's points, and what the readings do not tell of stays as wide as it was.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Draws, FloatArray, Prior, Problem, Refused, Source, Standing, at
from gristwright.casework.bench.bench import GristBench
from gristwright.flowsheet import line, mashing, washing
from gristwright.numerics import draws as drawing
from gristwright.quantities.shown import counted, plain
from gristwright.records.bill import Bill
from gristwright.records.wash import WashCourse
from gristwright.records.washbacks import WashReading

PACE = "wash.pace"
# Paces tried on the reference run, and about the best of these on every draw.
PACES, ABOUT = np.geomspace(0.35, 2.6, 12), np.geomspace(0.5, 2.0, 7)
# How far a reading may lie off the right course: our estimate, the model's error with the hydrometer's.
GRAVITY_SD, DEGC_SD = 0.003, 1.5
FEWEST_GRAVITIES = 2
# What was believed of the pace before, as a spread of its logarithm: wide, for a house's own course says more.
BEFORE_SD = 0.5
# Readings that far from the nearest course, root mean square in their own spread, are not explained by a pace.
UNEXPLAINED = 3.0
WHERE = at("plant", "washbacks", "course")


def paced(bench: GristBench, behind: Bill | None) -> GristBench:
    """The bench with the yeast's pace as the house's measured course has it, of the bill `behind` it.

    Untouched where the house gives no course of two gravities or more. Raises Refused where no pace explains it.
    """
    readings = bench.plant.washbacks.course
    if behind is None or sum(one.gravity_sg is not None for one in readings) < FEWEST_GRAVITIES:
        return bench
    middle = _fitted(bench, behind, bench.middles, PACES)
    if middle.off > UNEXPLAINED:
        raise Refused([_unexplained(middle.nearest, readings)])
    centre = float(middle.pace[0])
    column = _fitted(bench, behind, bench.draws, centre * ABOUT)
    paces = column.pace * np.exp(column.spread * _luck(bench))
    priors = tuple(_measured(p, centre, paces, len(readings)) if p.name == PACE else p for p in bench.priors)
    return replace(
        bench, priors=priors, draws={**bench.draws, PACE: paces}, middles={**bench.middles, PACE: middle.pace}
    )


def _luck(bench: GristBench) -> FloatArray:
    """A standard normal deviate for every draw, (members,)."""
    standard = Prior(f"{PACE} read", "", "", "normal", (0.0, 1.0), -9.0, 9.0, Source("", Standing.MEASURED))
    return drawing.sample([standard], len(bench.weights), bench.seed)[standard.name]


def _measured(prior: Prior, centre: float, paces: FloatArray, readings: int) -> Prior:
    """The prior of the pace as the readings leave it."""
    spread = float(np.exp(max(float(np.std(np.log(paces))), 1e-3)))
    source = Source(f"the house's own course, {counted(readings, 'reading', 'readings')}", Standing.MEASURED)
    ends = (centre / spread**4, centre * spread**4)
    return replace(prior, family="lognormal", arguments=(centre, spread), low=ends[0], high=ends[1], source=source)


@dataclass(frozen=True)
class _Fit:
    """The pace that readings ask of each draw, (members,): its middle, the spread of its logarithm; of the first draw
    the nearest course and how far the readings lie off it, root mean square in their own spread."""

    pace: FloatArray
    spread: FloatArray
    off: float
    nearest: WashCourse


def _fitted(bench: GristBench, bill: Bill, draws: Draws, paces: FloatArray) -> _Fit:
    shares, plant, readings = bench.shares(bill), bench.plant, bench.plant.washbacks.course
    unopened = mashing.usual_unopened(plant, draws)
    effect, course = mashing.mashed(bench.lots, plant, shares, draws, unopened, None, bench.middles)
    wort = line.mashed_wort(shares, bench.lot_columns(draws), plant, draws, effect, bench.usual_shares)
    fan, tried = bench.wort_fan(shares, wort, draws), []
    for pace in paces:
        again = {**draws, PACE: np.full_like(draws[PACE], pace)}
        tried.append(washing.set_out(course, wort, fan, plant, again).run())
    misfits = np.array([_misfit(one, readings) for one in tried])
    held = misfits + (np.log(paces)[:, None] / BEFORE_SD) ** 2
    pace, spread = _lowest(np.log(paces), held)
    best = int(np.argmin(misfits[:, 0]))
    return _Fit(np.exp(pace), spread, float(np.sqrt(misfits[best, 0] / len(readings))), tried[best])


def _lowest(at_log: FloatArray, held: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Where the parabola through the lowest of (points, members) and its neighbours is lowest, and its spread."""
    step = at_log[1] - at_log[0]
    low = np.clip(np.argmin(held, axis=0), 1, len(at_log) - 2)
    member = np.arange(held.shape[1])
    before, here, after = (held[low + k, member] for k in (-1, 0, 1))
    bend = np.maximum(before - 2.0 * here + after, 1e-6)
    moved = np.clip(0.5 * (before - after) / bend, -1.0, 1.0)
    return np.asarray(at_log[low] + step * moved), np.asarray(np.minimum(step * np.sqrt(2.0 / bend), BEFORE_SD))


def _misfit(course: WashCourse, readings: tuple[WashReading, ...]) -> FloatArray:
    """Squares of what every reading lies off each course, in its own spread, summed; (members,)."""
    total = np.zeros(course.degC.shape[1])
    for one in readings:
        if one.gravity_sg is not None:
            total += ((_at(course, course.gravity_sg, one.hours) - one.gravity_sg) / GRAVITY_SD) ** 2
        if one.degC is not None:
            total += ((_at(course, course.degC, one.hours) - one.degC) / DEGC_SD) ** 2
    return total


def _at(course: WashCourse, values: FloatArray, hour: float) -> FloatArray:
    """Values of a course at an hour, (members,); behind its end its last."""
    last = int(np.clip(np.searchsorted(course.times_h, hour), 1, len(course.times_h) - 1))
    before, after = course.times_h[last - 1], course.times_h[last]
    share = np.clip((hour - before) / (after - before), 0.0, 1.0)
    return np.asarray((1.0 - share) * values[last - 1] + share * values[last])


def _unexplained(nearest: WashCourse, readings: tuple[WashReading, ...]) -> Problem:
    """The gravity that lies furthest off the nearest course, with what that has there."""
    there = {k: float(_at(nearest, nearest.gravity_sg, one.hours)[0]) for k, one in enumerate(readings)}
    off = {k: abs(there[k] - one.gravity_sg) for k, one in enumerate(readings) if one.gravity_sg is not None}
    worst = max(off, key=lambda k: off[k])
    what = (
        f"{plain(readings[worst].gravity_sg or 0.0, 4)} SG at {readings[worst].hours:g} h cannot be explained by any "
        f"pace of the yeast: the nearest course has {plain(there[worst], 4)} there."
    )
    way_out = "Check hours, gravity (at 20 degC, freed of gas) and whether bill, yeast, pitch and temperature are its."
    return Problem(WHERE.to(worst + 1, "gravity_sg"), what, way_out)
