"""Named model `brandam2003`: starch hydrolysis in a mash as published. See docs/mash_simulation.md.

Brandam, Meyer, Proth, Strehaiano & Pingaud 2003, Biochem. Eng. J. 13, 43-52. Open starch lasts about a millisecond with
the published constants; it is taken at its quasi-steady state, which gives identical results without the stiffness.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import FloatArray, Refused, at
from gristwright.numerics.integrate import rk4_step
from gristwright.records.mash import Corner
from gristwright.reference import csv_rows
from gristwright.stages.mash.limits_simulation import brandam_problems

RESTS_ON: tuple[str, ...] = ()
GAS_kJ_per_mol_K = 8.314e-3
ZERO_DEGC_K = 273.15
GELATINISATION_SWITCH_K, ACTIVITY_SWITCH_K, INACTIVE_BELOW_K = 333.15, 336.15, 313.0
# The cubic of alpha-amylase is below zero here and turns up again beyond: held at this point it clamps to nothing.
CUBIC_ENDS_K = 351.0


@cache
def constants() -> dict[str, float]:
    """The published constants by name."""
    return {row["name"]: float(row["value"]) for row in csv_rows("tables/mash_brandam2003.csv")}


def alpha_activity(mash_degC: ArrayLike) -> FloatArray:
    """Activity of alpha-amylase relative to 1 below 313 K [-]; any shape. Cubics meeting at 336.15 K, never below 0."""
    c, T = constants(), np.minimum(np.asarray(mash_degC, dtype=float) + ZERO_DEGC_K, CUBIC_ENDS_K)
    low = ((c["alpha_low_3"] * T + c["alpha_low_2"]) * T + c["alpha_low_1"]) * T + c["alpha_low_0"]
    high = ((c["alpha_high_3"] * T + c["alpha_high_2"]) * T + c["alpha_high_1"]) * T + c["alpha_high_0"]
    return _activity(T, low, high)


def beta_activity(mash_degC: ArrayLike) -> FloatArray:
    """Activity of beta-amylase relative to 1 below 313 K [-]; any shape. Lines meeting at 336.15 K, never below 0."""
    c, T = constants(), np.asarray(mash_degC, dtype=float) + ZERO_DEGC_K
    return _activity(T, c["beta_low_1"] * T + c["beta_low_0"], c["beta_high_1"] * T + c["beta_high_0"])


def _activity(T: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    warm = np.maximum(np.where(T < ACTIVITY_SWITCH_K, low, high), 0.0)
    return np.asarray(np.where(T < INACTIVE_BELOW_K, 1.0, warm))


def arrhenius_per_s(name: str, mash_degC: ArrayLike) -> FloatArray:
    """First-order loss [1/s] of `alpha` or `beta` amylase at a temperature; any shape. Constants from memory."""
    c, T = constants(), np.asarray(mash_degC, dtype=float) + ZERO_DEGC_K
    return np.asarray(c[f"{name}_kd"] * np.exp(-c[f"{name}_Ed"] / (GAS_kJ_per_mol_K * T)))


def gelatinisation_per_s(mash_degC: ArrayLike) -> FloatArray:
    """First-order opening of starch [1/s] with its break at 333.15 K; any shape."""
    c, T = constants(), np.asarray(mash_degC, dtype=float) + ZERO_DEGC_K
    low = c["kg1"] * np.exp(-c["Eg1"] / (GAS_kJ_per_mol_K * T))
    high = c["kg2"] * np.exp(-c["Eg2"] / (GAS_kJ_per_mol_K * T))
    return np.asarray(np.where(T < GELATINISATION_SWITCH_K, low, high))


@dataclass(frozen=True)
class PublishedMash:
    """Wort at the end, g/L as starch (no water of hydrolysis in the published balance); enzymes [U/g]; (members,)."""

    solid_starch: FloatArray
    dextrin: FloatArray
    glucose: FloatArray
    maltose: FloatArray
    maltotriose: FloatArray
    alpha_U_per_g: FloatArray
    beta_U_per_g: FloatArray

    @property
    def fermentable(self) -> FloatArray:
        """Glucose, maltose and maltotriose together."""
        return self.glucose + self.maltose + self.maltotriose


def mash(
    corners: Sequence[Corner],
    starch_g_per_L: ArrayLike = 100.0,
    alpha_U_per_g: ArrayLike | None = None,
    beta_U_per_g: ArrayLike | None = None,
    thermal_loss: bool = True,
    step_s: float = 10.0,
) -> PublishedMash:
    """One mash along settled corners; inputs broadcast to (members,). Raises Refused outside the published range."""
    c = constants()
    starch, alpha, beta = np.broadcast_arrays(
        np.atleast_1d(np.asarray(starch_g_per_L, dtype=float)),
        np.asarray(c["alpha_reference"] if alpha_U_per_g is None else alpha_U_per_g, dtype=float),
        np.asarray(c["beta_reference"] if beta_U_per_g is None else beta_U_per_g, dtype=float),
    )
    problems = brandam_problems(corners, float(np.min(starch)), float(np.max(starch)), at("mash", "published model"))
    if problems:
        raise Refused(problems)
    y = np.zeros((7, starch.size))
    y[0], y[5], y[6] = starch, alpha, beta
    for first, last in pairwise(corners):
        y = _leg(y, first, last, thermal_loss, step_s)
    return PublishedMash(*y)


def _leg(y: FloatArray, first: Corner, last: Corner, thermal_loss: bool, step_s: float) -> FloatArray:
    seconds = 60.0 * (last.at_min - first.at_min)
    steps = ceil(seconds / step_s - 1e-9)
    slope = (last.settled_degC - first.settled_degC) / seconds if steps else 0.0

    def rate(t: float, state: FloatArray) -> FloatArray:
        return _rates(first.settled_degC + slope * t, state, thermal_loss)

    for number in range(steps):
        start, step = number * seconds / steps, seconds / steps
        y = rk4_step(rate, (start, start + 0.5 * step, start + step), y, step)
    return y


def split(alpha: FloatArray, beta: FloatArray) -> FloatArray:
    """Shares of open starch that become dextrin, glucose, maltose, maltotriose, (4, members); activities times dose."""
    c = constants()
    parts = np.array([c["k_dex"] * alpha, c["k_gl"] * alpha, c["k_am"] * alpha + c["k_bm"] * beta, c["k_mlt"] * alpha])
    total = parts.sum(axis=0)
    return np.asarray(np.divide(parts, total, out=np.zeros_like(parts), where=total > 0.0))


def _rates(mash_degC: float, y: FloatArray, thermal_loss: bool) -> FloatArray:
    c = constants()
    alpha, beta = y[5] * alpha_activity(mash_degC), y[6] * beta_activity(mash_degC)
    opened = gelatinisation_per_s(mash_degC) * y[0]
    # Without any activity nothing is taken: the starch then stays counted as solid.
    opened = np.where(alpha + beta > 0.0, opened, 0.0)
    to = split(alpha, beta) * opened
    attack = np.array([c["d_gl"] * alpha, c["d_am"] * alpha + c["d_bm"] * beta, c["d_mlt"] * alpha]) * y[1]
    rate = np.zeros_like(y)
    rate[0] = -opened
    rate[1] = to[0] - attack.sum(axis=0)
    rate[2:5] = to[1:] + attack
    if thermal_loss:
        rate[5] = -arrhenius_per_s("alpha", mash_degC) * y[5]
        rate[6] = -arrhenius_per_s("beta", mash_degC) * y[6]
    return rate
