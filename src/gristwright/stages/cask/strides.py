"""Casks side by side, each in a few long steps of its own: a large stock through the calendar. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from gristwright.basics import FloatArray
from gristwright.stages.cask.content import ETHANOL, TINY_KG, WATER
from gristwright.stages.cask.course import (
    CHUNK,
    DAYS_PER_YEAR,
    Air,
    IntArray,
    Journey,
    Spell,
    Walls,
    liquid_of,
    soaked,
    speed,
    step,
)

# The most of the last twentieth of a cask that may go in a step, and the longest step [months], halved until it fits.
LONG_SHARE = 1.0
LONGEST_MONTHS, QUARTER = 13.0, 3.25
MOST_HALVINGS = 7
# Up to so many of its time constants soaking is strong, and is followed in so many steps, short ones first.
WET, WET_STEPS = 6.0, 8


@lru_cache(maxsize=32)
def _months(first: int, last: int) -> tuple[IntArray, IntArray, IntArray]:
    """Starts of the months from a day to past another, the month of the year of each, and the number of each day's."""
    day = dt.date.fromordinal(first).replace(day=1)
    starts = [day]
    while starts[-1].toordinal() <= last:
        starts.append((starts[-1].replace(day=28) + dt.timedelta(days=4)).replace(day=1))
    ordinals = np.array([start.toordinal() for start in starts])
    months = np.array([start.month - 1 for start in starts[:-1]])
    return ordinals, months, np.repeat(np.arange(len(months)), np.diff(ordinals))


@dataclass(frozen=True)
class Doses:
    """What the air of some stores has done from a first day on: vapour pressures of ethanol, of water, and of water
    times humidity, summed [kPa year], (3, stores, months), and what a day of each month adds."""

    stores: IntArray
    starts: IntArray
    month_of: IntArray
    summed: FloatArray
    a_day: FloatArray

    @classmethod
    def over(cls, air: Air, journey: Journey) -> Doses:
        """Of the stores and days of these journeys."""
        stores = np.unique(journey.store)
        starts, months, month_of = _months(int(journey.start.min()), int(journey.end.max()))
        water = air.water_kPa[stores]
        columns = np.stack([air.ethanol_kPa[stores], water, water * air.humidity[stores]])
        a_day = columns[:, :, months] / DAYS_PER_YEAR
        summed = np.cumsum(a_day * np.diff(starts), axis=2)
        return cls(stores, starts, month_of, np.concatenate([np.zeros_like(summed[:, :, :1]), summed], axis=2), a_day)

    def until(self, store: IntArray, day: FloatArray) -> FloatArray:
        """The sums until a day in a store, (3, casks)."""
        month = self.month_of[day.astype(np.int64) - int(self.starts[0])]
        at = np.searchsorted(self.stores, store)
        return np.asarray(self.summed[:, at, month] + self.a_day[:, at, month] * (day - self.starts[month]))


def run(
    state: FloatArray, walls: Walls, air: Air, journey: Journey, marks: Sequence[int] = ()
) -> tuple[FloatArray, FloatArray]:
    """As `course.run`, each member in steps between its own days and no shorter than it loses in them asks."""
    out = state.copy()
    seen = np.full((len(marks), 2, state.shape[1]), np.nan)
    there = np.flatnonzero(journey.end > journey.start)
    if not len(there):
        return out, seen
    doses = Doses.over(air, journey)
    halvings = np.broadcast_to(_halvings(walls, air), state.shape[1:])
    years = (journey.end - journey.start) // 365
    wet = journey.start < journey.filled + WET * DAYS_PER_YEAR * float(walls.soak_years.max())
    keys = (journey.filled, journey.end, journey.start, journey.store, years, wet, halvings)
    order = there[np.lexsort([key[there] for key in keys])]
    alike = np.split(order, np.flatnonzero(np.diff(halvings[order])) + 1)
    for rows in (same[k : k + CHUNK] for same in alike for k in range(0, len(same), CHUNK)):
        piece = np.ascontiguousarray(state[:, rows])
        longest = LONGEST_MONTHS / 2.0 ** int(halvings[rows[0]]) * DAYS_PER_YEAR / 12.0
        trips = _Trips.of(journey, rows)
        seen[:, :, rows] = _run_chunk(piece, walls.of_rows(rows), doses, trips, marks, longest)
        out[:, rows] = piece
    return out, seen


def _halvings(walls: Walls, air: Air) -> IntArray:
    """How often the longest step of each member is halved, by the share of its last twentieth that goes in a year."""
    months = LONG_SHARE * 12.0 / np.maximum(speed(walls, air), TINY_KG)
    # A cask so fast that a quarter is too long for it is nearly dry for most of the time: twice the step tells as much.
    months = np.where(months < QUARTER, np.minimum(2.0 * months, QUARTER), months)
    return np.clip(np.ceil(np.log2(LONGEST_MONTHS / months)), 0, MOST_HALVINGS).astype(np.int64)


@dataclass(frozen=True)
class _Trips:
    """The different journeys of some members, (trips,), and which each makes; None where all make one."""

    journey: Journey
    which: IntArray | None

    @classmethod
    def of(cls, journey: Journey, rows: IntArray) -> _Trips:
        """Of the members in these rows, of which those alike stand together."""
        columns = np.stack([column[rows] for column in (journey.store, journey.start, journey.end, journey.filled)])
        new = np.concatenate([[True], (np.diff(columns, axis=1) != 0).any(axis=0)])
        trips = Journey(*columns[:, new])
        return cls(trips, np.cumsum(new) - 1 if new.sum() > 1 else None)

    def spread(self, values: FloatArray) -> FloatArray:
        """Values by trip (trips,) as values by member; (1,) where there is one trip."""
        return values if self.which is None else values[self.which]

    def soaking(self, walls: Walls, wood_years: FloatArray, years: FloatArray) -> tuple[FloatArray, FloatArray] | None:
        """What soaks in half a step and in a whole one, by member; None where each has a time constant of its own."""
        if len(walls.soak_years) > 1:
            return None
        half, whole = (soaked(walls.soak_years, wood_years, part * years) for part in (0.5, 1.0))
        return self.spread(half), self.spread(whole)


def _run_chunk(
    state: FloatArray, walls: Walls, doses: Doses, trips: _Trips, marks: Sequence[int], longest: float
) -> FloatArray:
    """One chunk, its state changed in place, in steps of so many days at most; ethanol and water at the marks."""
    seen = np.full((len(marks), 2, state.shape[1]), np.nan)
    journey = trips.journey
    liquid = liquid_of(state[ETHANOL], state[WATER], walls)
    dry = journey.filled + WET * DAYS_PER_YEAR * float(walls.soak_years.max())
    day = journey.start.astype(np.float64)
    dose = doses.until(journey.store, day)
    last = float(journey.end.max())
    for number, mark in enumerate([*marks, last]):
        until = np.maximum(np.minimum(float(mark), journey.end), journey.start)
        for bound, powers in ((np.minimum(dry, until), 2.0), (until, 1.0)):
            begun, way = day, np.maximum(bound - day, 0.0)
            most = float(way.max())
            steps = max(int(np.ceil(powers * most / longest)), WET_STEPS if powers > 1.0 else 1) if most > 0.0 else 0
            for k in range(1, steps + 1):
                before, then = (day, dose), begun + way * (k / steps) ** powers
                day, dose = then, doses.until(journey.store, then)
                years = (day - before[0]) / DAYS_PER_YEAR
                wood_years = np.maximum(before[0] - journey.filled, 0.0) / DAYS_PER_YEAR
                spell = Spell(*(trips.spread(column) for column in (*(dose - before[1]), years, wood_years)))
                liquid = step(state, walls, spell, spell.wood_years, liquid, trips.soaking(walls, wood_years, years))
        if number < len(marks):
            seen[number] = state[:2]
    return seen
