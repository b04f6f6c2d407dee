"""Casks side by side through the calendar: what passes the wall and what soaks in, month by month. See docs/cask.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, fields
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import FloatArray
from gristwright.records.cask import Climate
from gristwright.stages.cask import vapour
from gristwright.stages.cask.content import (
    ETHANOL,
    ETHANOL_IN_WOOD,
    ETHANOL_OUT,
    TINY_KG,
    WATER,
    WATER_IN_WOOD,
    WATER_OUT,
)

IntArray = NDArray[np.int64]

DAYS_PER_YEAR = 365.25
# So many members fit a core's cache; more or fewer at a time are slower, and so are two threads.
CHUNK = 16384
# A month is cut into parts where the fastest cask would lose more than this share of its last twentieth in one step.
FAST_STEP = 0.25
MOST_PARTS = 16
# Below this share of the fill the wetted wall is taken to shrink with the liquid, so that a cask runs dry smoothly.
NEARLY_EMPTY = 0.05
# Soaking is left out after so many of its time constants: 2e-9 of it is still to come.
SOAKED = 20.0
# Once soaking is over a step spans up to so many months: the air is summed month by month, the liquid changes little.
STRIDE = 3


@dataclass(frozen=True)
class Walls:
    """What the wall of each member lets through and soaks up; arrays (members,) or (1,).

    Permeance times area [kg per year and kPa], soaking [kg], its time constant [years], first fill [kg].
    """

    ethanol_pass: FloatArray
    water_pass: FloatArray
    soak_kg: FloatArray
    given_water_kg: FloatArray
    soak_years: FloatArray
    fill_kg: FloatArray

    def of_rows(self, rows: IntArray) -> Walls:
        """The walls of some members."""
        columns = (getattr(self, column.name) for column in fields(self))
        return Walls(*(column[rows] if len(column) > 1 else column for column in columns))


@dataclass(frozen=True)
class Air:
    """The air of every store by calendar month: vapour pressures [kPa] and humidity [0..1], each (stores, 12)."""

    ethanol_kPa: FloatArray
    water_kPa: FloatArray
    humidity: FloatArray


@dataclass(frozen=True)
class Journey:
    """Where and when each member lies: index of its store, first and last day, day of filling; each (members,)."""

    store: IntArray
    start: IntArray
    end: IntArray
    filled: IntArray

    def of_rows(self, rows: IntArray) -> Journey:
        """The journeys of some members; what is the same for all of them has shape (1,)."""
        columns = (column[rows] for column in (self.store, self.start, self.end, self.filled))
        return Journey(*(column[:1] if (column == column[0]).all() else column for column in columns))


@dataclass(frozen=True)
class LiquidAtWall:
    """Activities of ethanol and water, mass share of ethanol, share of the wall that is wet; [0..1], (members,)."""

    ethanol_activity: FloatArray
    water_activity: FloatArray
    share: FloatArray
    wet: FloatArray


def air_of(climates: Sequence[Climate]) -> Air:
    """The air of these stores, each (stores, 12)."""
    degC = [climate.month_degC for climate in climates]
    return Air(
        np.array([[vapour.ethanol_saturation_kPa(t) for t in row] for row in degC]),
        np.array([[vapour.water_saturation_kPa(t) for t in row] for row in degC]),
        np.array([climate.month_humidity for climate in climates]),
    )


def run(
    state: FloatArray,
    walls: Walls,
    air: Air,
    journey: Journey,
    marks: Sequence[int] = (),
) -> tuple[FloatArray, FloatArray]:
    """The state [kg], shape (6, members), at each member's last day, and ethanol and water at the marks.

    `marks` are days (proleptic ordinals); the second array has shape (marks, 2, members) and is worth reading for
    members whose journey spans the mark. Members are worked in chunks of like speed and time.
    """
    out = state.copy()
    seen = np.full((len(marks), 2, state.shape[1]), np.nan)
    parts = np.broadcast_to(_parts(walls, air), state.shape[1:])
    order = np.lexsort((journey.start, parts))
    order = order[journey.end[order] > journey.start[order]]
    alike = np.split(order, np.flatnonzero(np.diff(parts[order])) + 1)
    for rows in (same[k : k + CHUNK] for same in alike for k in range(0, len(same), CHUNK)):
        piece = np.ascontiguousarray(state[:, rows])
        each = int(parts[rows[0]])
        seen[:, :, rows] = _run_chunk(piece, walls.of_rows(rows), air, journey.of_rows(rows), marks, each)
        out[:, rows] = piece
    return out, seen


def _parts(walls: Walls, air: Air) -> IntArray:
    """Into how many steps a month is cut: by the share of the last twentieth of a cask that goes in a year."""
    doublings = np.ceil(np.log2(np.maximum(speed(walls, air) / 12.0 / FAST_STEP, 1.0)))
    return np.asarray(np.minimum(2.0**doublings, MOST_PARTS), dtype=np.int64)


def speed(walls: Walls, air: Air) -> FloatArray:
    """The share of the last twentieth of a cask that goes in a year of the warmest month."""
    return np.asarray(walls.ethanol_pass * air.ethanol_kPa.max() / (NEARLY_EMPTY * walls.fill_kg))


def _edges(journey: Journey, marks: Sequence[int]) -> list[int]:
    """Days at which the air or the list of members may change: starts of months, marks, first and last day."""
    first, last = int(journey.start.min()), int(journey.end.max())
    day = dt.date.fromordinal(first).replace(day=1)
    days = {first, last, *(mark for mark in marks if first <= mark <= last)}
    while day.toordinal() < last:
        day = (day.replace(day=28) + dt.timedelta(days=4)).replace(day=1)
        days.add(min(day.toordinal(), last))
    return sorted(days)


def _run_chunk(
    state: FloatArray, walls: Walls, air: Air, journey: Journey, marks: Sequence[int], parts: int
) -> FloatArray:
    """One chunk, its state changed in place, a month in so many parts; ethanol and water at the marks, (marks, 2,
    members)."""
    seen = np.full((len(marks), 2, state.shape[1]), np.nan)
    edges = _edges(journey, marks)
    whole = int(journey.start.max()), int(journey.end.min())
    wet_until = int(journey.filled.max() + SOAKED * DAYS_PER_YEAR * walls.soak_years.max()) + 1
    liquid = liquid_of(state[ETHANOL], state[WATER], walls)
    k = 0
    while True:
        for number in (n for n, mark in enumerate(marks) if mark == edges[k]):
            seen[number] = state[:2]
        if k + 1 == len(edges):
            return seen
        far = 1
        if parts == 1 and edges[k] >= max(wet_until, whole[0]):
            far = _stride(edges, k, whole[1], marks)
        spell = _spell(air, journey, edges[k : k + far + 1], parts)
        for part in range(parts):
            liquid = step(state, walls, spell, spell.wood_years + part * spell.years, liquid)
        k += far


def _stride(edges: list[int], k: int, end: int, marks: Sequence[int]) -> int:
    """How many months a step may span: all members lie there, and no mark lies between."""
    far = 1
    while far < STRIDE and k + far + 1 < len(edges) and edges[k + far + 1] <= end and edges[k + far] not in marks:
        far += 1
    return far


@dataclass(frozen=True)
class Spell:
    """What the air does to each member in a step: vapour pressures [kPa year] of ethanol and water, the latter times
    humidity, the length of the step and the time in wood before it [years]; each (members,) or (1,)."""

    ethanol: FloatArray
    water: FloatArray
    humid_water: FloatArray
    years: FloatArray
    wood_years: FloatArray


def _spell(air: Air, journey: Journey, edges: list[int], parts: int) -> Spell:
    """The months between the edges summed for each member, over so many parts."""
    store = journey.store
    sums = [np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1)]
    all_there = edges[0] >= journey.start.max() and edges[-1] <= journey.end.min()
    for first, last in pairwise(edges):
        month = dt.date.fromordinal(first).month - 1
        if all_there:
            days = np.array([last - first])
        else:
            days = np.clip(np.minimum(journey.end, last) - np.maximum(journey.start, first), 0, None)
        years = days / (DAYS_PER_YEAR * parts)
        water = air.water_kPa[:, month]
        columns = air.ethanol_kPa[:, month], water, water * air.humidity[:, month]
        sums = [*(total + column[store] * years for total, column in zip(sums, columns, strict=False)), sums[3] + years]
    before = np.maximum(np.maximum(journey.start, edges[0]) - journey.filled, 0) / DAYS_PER_YEAR
    return Spell(sums[0], sums[1], sums[2], sums[3], before)


def liquid_of(ethanol_kg: FloatArray, water_kg: FloatArray, walls: Walls) -> LiquidAtWall:
    """The liquid of these masses [kg]; vapour.activities with the shares left out that only divide and multiply."""
    a, b = vapour.constant("van_laar_ethanol"), vapour.constant("van_laar_water")
    ethanol, water = np.maximum(ethanol_kg, TINY_KG), np.maximum(water_kg, TINY_KG)
    total = ethanol + water
    share = ethanol / total
    total *= 1.0 / (NEARLY_EMPTY * walls.fill_kg)
    wet = np.minimum(total, 1.0, out=total)
    ethanol *= 1.0 / vapour.ETHANOL_KG_PER_KMOL
    water *= 1.0 / vapour.WATER_KG_PER_KMOL
    x = ethanol / (ethanol + water)
    ethanol *= a
    water *= b
    water /= ethanol + water
    of_ethanol, of_water = water, np.subtract(1.0, water, out=ethanol)
    of_ethanol *= of_ethanol
    of_water *= of_water
    of_ethanol *= a
    of_water *= b
    ethanol_activity, water_activity = np.exp(of_ethanol, out=of_ethanol), np.exp(of_water, out=of_water)
    ethanol_activity *= x
    water_activity *= np.subtract(1.0, x, out=x)
    return LiquidAtWall(ethanol_activity, water_activity, share, wet)


def step(
    state: FloatArray,
    walls: Walls,
    spell: Spell,
    wood_years: FloatArray,
    liquid: LiquidAtWall,
    paces: tuple[FloatArray, FloatArray] | None = None,
) -> LiquidAtWall:
    """One step of the state [kg], shape (6, members), changed in place; the liquid at its middle comes back.

    The midpoint rule for what passes the wall, its middle reached with the activities of the middle before; soaking,
    whose pace is known in time, is integrated on paper over the step and taken at the strength of the middle. `paces`
    are what soaks in its first half and in the whole, where they are known.
    """
    ethanol, water = state[ETHANOL], state[WATER]
    soaking = bool(wood_years.min() < SOAKED * walls.soak_years.max())
    mid_e, mid_w = _passing(liquid, walls, spell, 0.5)
    np.subtract(ethanol, mid_e, out=mid_e)
    np.subtract(water, mid_w, out=mid_w)
    if soaking:
        half, whole = paces or (soaked(walls.soak_years, wood_years, part * spell.years) for part in (0.5, 1.0))
        in_e, in_w = _soaking(liquid, walls, half)
        mid_e -= in_e
        mid_w -= in_w
    liquid = liquid_of(mid_e, mid_w, walls)
    out_e, out_w = _passing(liquid, walls, spell, 1.0)
    if soaking:
        in_e, in_w = _soaking(liquid, walls, whole)
        state[ETHANOL_IN_WOOD] += in_e
        state[WATER_IN_WOOD] += in_w
        ethanol -= in_e
        water -= in_w
    np.minimum(out_e, ethanol, out=out_e)
    np.minimum(out_w, water, out=out_w)
    state[ETHANOL_OUT] += out_e
    state[WATER_OUT] += out_w
    ethanol -= out_e
    water -= out_w
    return liquid


def _passing(liquid: LiquidAtWall, walls: Walls, spell: Spell, part: float) -> tuple[FloatArray, FloatArray]:
    """Ethanol and water [kg] through the wall in a part of a step."""
    out_e = walls.ethanol_pass * liquid.wet
    out_e *= liquid.ethanol_activity
    out_e *= part * spell.ethanol
    out_w = liquid.water_activity * (part * spell.water)
    out_w -= part * spell.humid_water
    out_w *= walls.water_pass
    out_w *= liquid.wet
    return out_e, out_w


def soaked(soak_years: FloatArray, wood_years: FloatArray, years: FloatArray) -> FloatArray:
    """The share [0..1] of all soaking that falls into a time after so long in wood; none once it is over."""
    pace = np.exp(-wood_years / soak_years) * -np.expm1(-years / soak_years)
    return np.where(wood_years < SOAKED * soak_years, pace, 0.0)


def _soaking(liquid: LiquidAtWall, walls: Walls, share: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Ethanol and water [kg] into the wood in a time of such a share of all soaking, less the water new wood gives."""
    pace = share * liquid.wet
    return walls.soak_kg * liquid.share * pace, (walls.soak_kg * (1.0 - liquid.share) - walls.given_water_kg) * pace
