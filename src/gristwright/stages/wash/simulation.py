"""A whole wash by the simulated model, for all members at once: from pitching to the charge. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.draws import members_of
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.records.wash import PitchedYeast, WashCourse, WashEnd, WashVessel, WashWort
from gristwright.stages.wash.furfural import furfural_left
from gristwright.stages.wash.living_wash import (
    ETHANOL_PER_HEXOSE,
    HEXOSE_PER_MALTOSE,
    HEXOSE_PER_MALTOTRIOSE,
    LivingWash,
    WashMade,
    WashState,
    constants,
    fermentable_g_per_L,
    promised_g_per_L,
)
from gristwright.stages.wash.model import real_extract_and_sg

STEP_H = RECORD_H = 1.0
# So many members are taken together, so that what they need stays in the cache.
BLOCK = 2048
# Of the alcohol, what is still to come when a wash counts as done; of the sugar, what is left when it counts as stuck.
STILL_TO_COME, STUCK = 0.005, 0.05
ETHANOL_g_PER_L_AND_PCT = ETHANOL_20C_kg_m3 / 100.0

R = TypeVar("R")


def ferment(
    wort: WashWort,
    yeast: PitchedYeast,
    vessel: WashVessel,
    draws: Draws,
    step_h: float = STEP_H,
    record_h: float | None = RECORD_H,
) -> WashCourse:
    """One wash for every draw, from pitching to the charge.

    Arrays of wort, yeast and vessel are (members,), `draws` columns (members,) of every prior under `wash.`. With
    `record_h` None its course holds the end alone.
    """
    members, parts = members_of(draws), []
    for start in range(0, members, BLOCK):
        part = slice(start, min(start + BLOCK, members))
        some = {name: column[part] for name, column in draws.items() if name.startswith("wash.")}
        wash = LivingWash(cut(wort, part, members), cut(yeast, part, members), cut(vessel, part, members), some)
        parts.append(_run(wash, step_h, record_h))
    return parts[0] if len(parts) == 1 else joined(parts)


def cut(record: R, part: slice, members: int) -> R:
    """A record whose arrays are (members,), for some of them."""
    held = {f.name: getattr(record, f.name) for f in fields(record)}  # type: ignore[arg-type]
    arrays = {name: np.broadcast_to(x, (members,))[part] for name, x in held.items() if isinstance(x, np.ndarray)}
    return replace(record, **arrays)  # type: ignore[type-var]


def joined(parts: Sequence[R]) -> R:
    """One record of several, one behind the other along the members; errors are the worst of them."""
    columns: dict[str, Any] = {}
    for f in fields(parts[0]):  # type: ignore[arg-type]
        values = [getattr(part, f.name) for part in parts]
        if is_dataclass(values[0]):
            columns[f.name] = joined(values)
        elif isinstance(values[0], np.ndarray) and f.name != "times_h":
            columns[f.name] = np.concatenate(values, axis=-1)
        elif isinstance(values[0], float) and f.name.endswith("_error"):
            columns[f.name] = max(values)
    return replace(parts[0], **columns)  # type: ignore[type-var]


@dataclass
class _Watched:
    """What is kept of a wash while it runs; arrays (members,)."""

    peak_degC: FloatArray
    peak_h: FloatArray
    most_gas: FloatArray
    alcohol: list[FloatArray] = field(default_factory=list)  # made so far, after every step
    times_h: list[float] = field(default_factory=list)
    records: list[FloatArray] = field(default_factory=list)


def _run(wash: LivingWash, step_h: float, record_h: float | None) -> WashCourse:
    state, made = wash.start()
    seen = _Watched(state.degC, np.zeros_like(state.degC), np.zeros_like(state.degC))
    steps = max(round(wash.vessel.hours / step_h), 1)
    step_h = wash.vessel.hours / steps
    every = None if record_h is None else max(round(record_h / step_h), 1)
    for number in range(steps):
        if every and number % every == 0:
            _record(wash, state, made, number * step_h, seen)
        before = made.carbon_dioxide
        state, made = wash.step(state, made, step_h)
        warmer = state.degC > seen.peak_degC
        seen.peak_degC = np.where(warmer, state.degC, seen.peak_degC)
        seen.peak_h = np.where(warmer, (number + 1) * step_h, seen.peak_h)
        seen.most_gas = np.maximum(seen.most_gas, (made.carbon_dioxide - before) / step_h)
        seen.alcohol.append(state.ethanol + made.stripped)
    if every:
        _record(wash, state, made, steps * step_h, seen)
    return _course(wash, state, made, seen, step_h)


def _record(wash: LivingWash, state: WashState, made: WashMade, hour: float, seen: _Watched) -> None:
    abv = state.ethanol / ETHANOL_g_PER_L_AND_PCT
    sg = real_extract_and_sg(wash.wort.original_gravity_degP + 0.0 * abv, abv, rounds=5)[1]
    sugar = state.glucose + state.maltose + state.maltotriose
    dextrin = state.chains + state.limit + state.open
    row = (state.degC, sg, abv, sugar, dextrin, state.alive, made.carbon_dioxide, state.lactic, wash.pH(state))
    seen.times_h.append(hour)
    seen.records.append(np.array(row))


def _course(wash: LivingWash, state: WashState, made: WashMade, seen: _Watched, step_h: float) -> WashCourse:
    kept = np.array(seen.records) if seen.records else np.zeros((0, len(_COURSES), len(state.degC)))
    courses: dict[str, Any] = {name: kept[:, row] for row, name in enumerate(_COURSES)}
    return WashCourse(
        times_h=np.array(seen.times_h),
        end=_end(wash, state, made, seen, step_h),
        balance_error=_balance_error(wash.wort, state, made),
        heat_error=_heat_error(wash, state, made),
        **courses,
    )


_COURSES = (
    "degC",
    "gravity_sg",
    "abv_pct",
    "sugar_g_per_L",
    "dextrin_g_per_L",
    "yeast_alive_g_per_L",
    "co2_kg_per_m3",
    "lactic_g_per_L",
    "pH",
)


def _end(wash: LivingWash, state: WashState, made: WashMade, seen: _Watched, step_h: float) -> WashEnd:
    fermentable = np.maximum(fermentable_g_per_L(wash.wort, wash.vessel.hours), 1e-9)
    promised = promised_g_per_L(fermentable)
    left = state.glucose + HEXOSE_PER_MALTOSE * state.maltose + HEXOSE_PER_MALTOTRIOSE * state.maltotriose
    alcohol = np.array(seen.alcohol)
    to_come = alcohol[-1] - alcohol > STILL_TO_COME * np.maximum(alcohol[-1], 1e-9)
    return WashEnd(
        ethanol_g_per_L=state.ethanol,
        stripped_g_per_L=made.stripped,
        kept=np.asarray(state.ethanol / promised),
        sugar_left_g_per_L=state.glucose + state.maltose + state.maltotriose,
        attenuated=np.asarray(made.hexose / fermentable),
        glycerol_g_per_L=made.glycerol,
        lactic_g_per_L=state.lactic,
        lactic_cost=np.asarray(ETHANOL_PER_HEXOSE * made.lactic_of_sugar / promised),
        bacteria_per_mL=np.exp(state.bacteria),
        yeast_made_g_per_L=state.grown,
        yeast_dead_share=np.asarray(made.dead / np.maximum(made.dead + state.alive, 1e-9)),
        peak_degC=seen.peak_degC,
        peak_h=seen.peak_h,
        stops_h=np.asarray(step_h * (to_come.sum(axis=0) + 1.0)),
        most_co2_kg_per_m3_h=seen.most_gas,
        co2_kg_per_m3=made.carbon_dioxide,
        heat_MJ_per_m3=made.heat_kJ,
        cooled_MJ_per_m3=made.cooled_kJ,
        fan_left_mg_per_L=state.fan,
        furfural_left=furfural_left(made.yeast_hours, wash.draws["wash.furfural_per_g_h"]),
        pH=wash.pH(state),
        stuck=np.asarray(left > STUCK * fermentable),
    )


def _balance_error(wort: WashWort, state: WashState, made: WashMade) -> float:
    """Largest share of what was put in, and of the water taken up, that is not found again."""
    put_in = wort.glucose_g_per_L + wort.maltose_g_per_L + wort.maltotriose_g_per_L
    put_in = put_in + wort.chains_g_per_L + wort.limit_dextrin_g_per_L + wort.open_starch_g_per_L
    pools = state.glucose + state.maltose + state.maltotriose + state.chains + state.limit + state.open
    found = pools + state.ethanol + made.stripped + made.carbon_dioxide + made.glycerol + made.by_products
    found = found + state.grown + made.lactic_of_sugar + made.lactic_of_dextrin
    whole = put_in + made.water_taken_up
    return float(np.max(np.abs(found - whole) / np.maximum(whole, 1e-9)))


def _heat_error(wash: LivingWash, state: WashState, made: WashMade) -> float:
    """Largest share of the heat made that neither warms the wash nor leaves it."""
    warmed = constants()["wash_kJ_per_L_K"] * (state.degC - wash.vessel.set_degC)
    found = warmed + made.lost_kJ + made.cooled_kJ
    return float(np.max(np.abs(found - made.heat_kJ) / np.maximum(made.heat_kJ, 1.0)))
