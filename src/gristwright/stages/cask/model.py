"""One cask and its wall on every draw: two permeances, soaking, store and leak. See docs/cask.md."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from gristwright.basics import BoolArray, Draws, FloatArray, refuse_if_any
from gristwright.records.cask import CaskFill, CaskKind, Climate, MaturedCask
from gristwright.stages.cask import content, course, limits

RESTS_ON: tuple[str, ...] = (
    "cask.ethanol_permeance",
    "cask.water_permeance",
    "cask.store_factor",
    "cask.joint_share",
    "cask.leak_factor",
    "cask.wood_uptake_L_per_m2",
    "cask.refill_uptake_share",
    "cask.wood_water_kg_per_m2",
    "cask.soak_years",
)
# Every year is like every other; only its leap days matter, and by less than a thousandth.
SOME_YEAR = 2025


@dataclass(frozen=True)
class Shell:
    """Wood and first fill of casks, arrays of one shape: area [m2] times 25 mm over the wall, area that soaks [m2],
    whether the wood is new, litres and strength filled at 20 degC."""

    pass_m2: FloatArray
    wetted_m2: FloatArray
    new: BoolArray
    fill_L: FloatArray
    fill_abv_pct: FloatArray


def shell_of(kind: CaskKind, fill_L: float, abv_pct: float) -> Shell:
    """The shell of one cask, arrays (1,)."""
    area, new = content.inside_area_m2(kind.capacity_L), content.is_new_wood(kind)
    numbers = (np.array([value]) for value in (content.pass_m2(kind), area, new, fill_L, abv_pct))
    return Shell(*numbers)


def walls_of(shell: Shell, loss: FloatArray, water: FloatArray, draws: Draws) -> course.Walls:
    """What the walls let through and soak up, of any shape that shell, loss and draws broadcast to.

    `loss` multiplies both permeances, `water` that of water once more.
    """
    fill_kg = np.add(*content.masses_kg(shell.fill_L, shell.fill_abv_pct))
    uptake = draws["cask.wood_uptake_L_per_m2"] * np.where(shell.new, 1.0, draws["cask.refill_uptake_share"])
    return course.Walls(
        draws["cask.ethanol_permeance"] * shell.pass_m2 * loss,
        draws["cask.water_permeance"] * shell.pass_m2 * loss * water,
        uptake * (shell.wetted_m2 * fill_kg / shell.fill_L),
        draws["cask.wood_water_kg_per_m2"] * (shell.wetted_m2 * shell.new),
        draws["cask.soak_years"],
        fill_kg,
    )


def loss_of(draws: Draws) -> FloatArray:
    """Loss of a sound cask over the model's: store x ((1 - share) + share x leak factor), (members,).

    A leaker is found in a stock by its gauges and is not among the draws here.
    """
    share = draws["cask.joint_share"]
    return np.asarray(draws["cask.store_factor"] * (1.0 - share + share * draws["cask.leak_factor"]))


def month_starts(first_month: int, months: int) -> list[int]:
    """First day (proleptic ordinal) of every month from filling to the end, both included."""
    calendar = (divmod(first_month - 1 + k, 12) for k in range(months + 1))
    return [dt.date(SOME_YEAR + year, month + 1, 1).toordinal() for year, month in calendar]


def mature_unchecked(fill: CaskFill, climate: Climate, draws: Draws) -> MaturedCask:
    """As `mature`, for any liquid of ethanol and water: the limits of the trade are not applied."""
    loss = loss_of(draws)
    walls = walls_of(shell_of(fill.kind, fill.fill_L, fill.entry_abv_pct), loss, np.ones(1), draws)
    state = np.zeros((6, len(loss)))
    ethanol, water = content.masses_kg(fill.fill_L, fill.entry_abv_pct)
    state[content.ETHANOL], state[content.WATER] = ethanol, water
    days = month_starts(fill.first_month, fill.months)
    first, last = (np.full(len(loss), day) for day in (days[0], days[-1]))
    journey = course.Journey(np.zeros_like(first), first, last, first)
    out, seen = course.run(state, walls, course.air_of([climate]), journey, days)
    seen[0] = state[:2]  # a cask that lies no time goes nowhere
    return _matured(fill, out, seen)


def _matured(fill: CaskFill, out: FloatArray, seen: FloatArray) -> MaturedCask:
    """The record of a course: state at its end (6, members), ethanol and water by month (months + 1, 2, members)."""
    volume_L, strength_pct = content.volume_and_strength(seen[:, 0], seen[:, 1])
    abv_pct = np.where(volume_L < content.RUN_DRY * fill.fill_L, np.nan, strength_pct)
    lpa_L = content.lpa_from_kg(out)
    accounted = out[:2] + out[2:4] + out[4:6]
    return MaturedCask(
        volume_L=volume_L[-1],
        abv_pct=abv_pct[-1],
        lpa_L=lpa_L[content.ETHANOL],
        filled_lpa_L=fill.fill_L * fill.entry_abv_pct / 100.0,
        evaporated_lpa_L=lpa_L[content.ETHANOL_OUT],
        left_in_wood_lpa_L=lpa_L[content.ETHANOL_IN_WOOD],
        month_volume_L=volume_L,
        month_abv_pct=abv_pct,
        balance_error=float(np.max(np.abs(accounted / seen[0] - 1.0))),
    )


def mature(fill: CaskFill, climate: Climate, draws: Draws) -> MaturedCask:
    """The cask after its months; arrays (members,), litres and %vol at 20 degC.

    Ethanol and water pass the wall by vapour pressure (two permeances, fitted to Baldwin & Andreasen 1974 and
    Schoeneman, Dyer & Earl 1971), month by month in the climate of the store, at the loss of a store and a cask drawn
    from the priors. The strength of a cask that runs dry is NaN. Raises Refused: see limits.cask_problems.
    """
    refuse_if_any(limits.cask_problems(fill, climate))
    return mature_unchecked(fill, climate, draws)
