"""Named model `engineering`: the published kinetics and what a mash needs beside. See docs/mash_simulation.md.

On top of `brandam2003`: several grains, each opening at its own temperature and later in strong wort; open starch that
waits for enzyme; amylases that last as they do in a mash; raw starch; limit dextrinase; pH. Each has its own file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.integrate import rk4_step
from gristwright.records.mash import MaltEnzymes, MashGrain
from gristwright.stages.mash import enzymes as enzyme
from gristwright.stages.mash import ph
from gristwright.stages.mash.brandam2003 import alpha_activity, beta_activity, constants
from gristwright.stages.mash.gelatinisation import GristOpening, opening

# Enzyme counts per starch: an all-malt mash of so much starch has the dose that the constants were fitted to
# (65 % of the dry matter, Beverages 2020, 6:60, at 4.5 % moisture). Limit dextrinase: middle of 268-603 U/kg.
STARCH_OF_MALT, USUAL_DEXTRINASE = 0.62, 400.0
# Mass of sugar from one of starch; molar masses.
GLUCOSE, MALTOSE, MALTOTRIOSE = 180.156 / 162.141, 342.297 / 324.282, 504.438 / 486.423
# From here on alpha-amylase keeps its activity on open starch for as long as it lives; see `activities`.
HELD_FROM_DEGC = 70.0
# Room that a kilogram of dissolved extract takes [L], from the density of 14 degP wort.
EXTRACT_L_PER_KG = 0.62


@dataclass(frozen=True)
class Rows:
    """Where each quantity stands in the state (rows, members); starch of each grain first, kg per kg of grist."""

    grains: int

    @property
    def open(self) -> int:
        """Row of open starch; behind it dextrin, glucose, maltose, maltotriose, water taken up, loss of beta."""
        return self.grains

    @property
    def count(self) -> int:
        """How many rows the state has."""
        return self.grains + 7


@dataclass(frozen=True)
class Constants:
    """What stays the same for the whole mash; arrays (members,)."""

    opening: GristOpening
    slow: FloatArray  # factor on the rates of open starch
    raw_per_s: FloatArray  # at alpha-amylase's reference dose and best activity
    per_starch: FloatArray  # dose of one U/g of grist relative to the fitted malt's
    alpha_loss: FloatArray
    beta_loss: FloatArray
    dextrinase_loss: FloatArray
    protection: FloatArray
    dextrinase_part: FloatArray
    alpha_pH: FloatArray
    beta_pH: FloatArray
    dextrinase_pH: FloatArray


def constants_of(grains: Sequence[MashGrain], pH: FloatArray, draws: Draws) -> Constants:
    """The constants of one grist; every array (members,). Raises Refused for a cereal without a table row."""
    starch = np.sum([grain.share * grain.starch_kg_per_kg for grain in grains], axis=0)
    c, width = constants(), draws["mash.pH_width"]
    best = float(alpha_activity(62.5)) * c["alpha_reference"]
    return Constants(
        opening=opening(grains, draws),
        slow=draws["mash.open_starch_factor"],
        raw_per_s=draws["mash.raw_starch_per_h"] / (3600.0 * best),
        per_starch=STARCH_OF_MALT / np.maximum(starch, 1e-9),
        alpha_loss=draws["mash.alpha_loss_factor"],
        beta_loss=draws["mash.beta_loss_factor"],
        dextrinase_loss=draws["mash.limit_dextrinase_loss_factor"],
        protection=draws["mash.beta_protection"],
        dextrinase_part=draws["mash.dextrin_by_limit_dextrinase"],
        alpha_pH=ph.effect("alpha", pH, width),
        beta_pH=ph.effect("beta", pH, width),
        dextrinase_pH=ph.effect("limit dextrinase", pH, width),
    )


def put_in(grains: Sequence[MashGrain], lots: Mapping[str, MaltEnzymes], key: str, part: float) -> FloatArray:
    """Alpha, beta [U/g of grist] and limit dextrinase [U/kg of grist] that a part of one grain brings, (3, members)."""
    grain = next(grain for grain in grains if grain.key == key)
    lot = lots.get(key)
    if lot is None:
        return np.zeros((3, grain.share.size))
    weight = part * grain.share
    return np.array([weight * lot.alpha_U_per_g, weight * lot.beta_U_per_g, weight * lot.limit_dextrinase_U_per_kg])


@dataclass
class Stretch:
    """What the rates of one stretch of time need at every half step: arrays (points, members)."""

    mash_degC: FloatArray
    alpha: FloatArray  # dose alive times activity on dextrin
    alpha_open: FloatArray  # the same on open starch
    beta: FloatArray  # dose at the start of the stretch times activity
    beta_loss_per_s: FloatArray  # in wort of 25 g/100 g
    attack: FloatArray  # (members,) factor on the attack on dextrin
    still: FloatArray  # (grains, members) starch put in so far
    openable: FloatArray  # (grains, members)
    inert: FloatArray  # (members,) dissolved beside starch's products
    water: FloatArray  # (members,) kg per kg of grist


def lasting(loss_per_s: FloatArray, step_s: float) -> FloatArray:
    """Share alive at every half step after a first-order loss known there, (points, members); Simpson's rule."""
    start, half, end = loss_per_s[:-2:2], loss_per_s[1:-1:2], loss_per_s[2::2]
    to_half = np.maximum(5.0 * start + 8.0 * half - end, 0.0) * (step_s / 24.0)
    whole = (start + 4.0 * half + end) * (step_s / 6.0)
    before = np.cumsum(whole, axis=0) - whole
    exponent = np.zeros_like(loss_per_s)
    exponent[1::2] = before + to_half
    exponent[2::2] = before + whole
    return np.asarray(np.exp(-exponent))


@cache
def _turns() -> FloatArray:
    """What the four attacks do, (6, 4): rows open starch, dextrin, glucose, maltose, maltotriose, water taken up.

    Columns: alpha and beta on open starch, alpha and beta on dextrin, each in starch attacked a second.
    """
    c = constants()
    glucose, maltotriose = [c["k_gl"], 0.0, c["d_gl"], 0.0], [c["k_mlt"], 0.0, c["d_mlt"], 0.0]
    sugar = np.array([glucose, [c["k_am"], c["k_bm"], c["d_am"], c["d_bm"]], maltotriose])
    by_alpha, by_beta = sugar[:, :2].sum(axis=0)
    mass = np.array([GLUCOSE, MALTOSE, MALTOTRIOSE])[:, None] * sugar
    open_starch = [-by_alpha - c["k_dex"], -by_beta, 0.0, 0.0]
    dextrin = [c["k_dex"], 0.0, *-sugar[:, 2:].sum(axis=0)]
    return np.array([open_starch, dextrin, *mass, mass.sum(axis=0) - sugar.sum(axis=0)])


@dataclass(frozen=True)
class Felt:
    """What the strength of the wort does at one half step: how starch opens, and how long beta-amylase lasts."""

    per_s: FloatArray  # (grains, members) towards
    unopened: FloatArray  # (grains, members) starch that never opens
    beta_loss_per_s: FloatArray  # (members,)


def felt(constant: Constants, now: Stretch, point: int, y: FloatArray, rows: Rows) -> Felt:
    """How the state (rows, members) feels the temperature of a half step."""
    r = rows.open
    solids = y[r + 1] + y[r + 2] + y[r + 3] + y[r + 4] + now.inert
    strength = 100.0 * solids / (solids + now.water - y[r + 5])
    degC = constant.opening.shifted_degC(now.mash_degC[point], strength)
    return Felt(
        constant.opening.per_s(degC),
        now.still * (1.0 - now.openable * constant.opening.extent(degC)),
        enzyme.protected(now.beta_loss_per_s[point], strength, constant.protection),
    )


def rates(constant: Constants, now: Stretch, point: int, y: FloatArray, rows: Rows, here: Felt) -> FloatArray:
    """Rates of change [1/s] of the state (rows, members) at one half step."""
    r = rows.open
    dy, attacks = np.empty_like(y), np.empty((4, y.shape[1]))
    alpha, beta = now.alpha[point], now.beta[point] * np.exp(-y[r + 6])
    opened = here.per_s * np.maximum(y[:r] - here.unopened, 0.0)
    opened += (constant.raw_per_s * alpha) * y[:r]
    uptake, slow = constant.slow * y[r], now.attack * y[r + 1]
    np.multiply(now.alpha_open[point], uptake, out=attacks[0])
    np.multiply(beta, uptake, out=attacks[1])
    np.multiply(alpha, slow, out=attacks[2])
    np.multiply(beta, slow, out=attacks[3])
    np.negative(opened, out=dy[:r])
    # No call of a matrix library: its rounding changes with the number of members.
    np.einsum("ij,jm->im", _turns(), attacks, out=dy[r : r + 6])
    dy[r] += opened.sum(axis=0)
    dy[r + 6] = here.beta_loss_per_s
    return dy


def advance(constant: Constants, now: Stretch, y: FloatArray, step_s: float, rows: Rows) -> FloatArray:
    """The state after all steps of a stretch, by classical Runge-Kutta; the half steps are the stretch's points.

    The strength of the wort changes slowly: what it does is worked out once at each half step.
    """
    reached, here = 0, felt(constant, now, 0, y, rows)

    def rate(point: int, state: FloatArray) -> FloatArray:
        nonlocal reached, here
        if point != reached:
            reached, here = point, felt(constant, now, point, state, rows)
        return rates(constant, now, point, state, rows, here)

    for start in range(0, len(now.mash_degC) - 1, 2):
        y = rk4_step(rate, (start, start + 1, start + 2), y, step_s)
    return y


def activities(mash_degC: FloatArray, constant: Constants) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Activity of alpha-amylase on dextrin and on open starch, and of beta-amylase, for a dose of one U/g of grist.

    Shape of the temperature; with the effect of pH. The published activity of alpha-amylase ends at 74 degC, where
    mashes at 75 and 80 degC still convert: on open starch it is held at its value at 70 degC (estimate).
    """
    alpha = alpha_activity(mash_degC)
    on_open = np.where(mash_degC > HELD_FROM_DEGC, float(alpha_activity(HELD_FROM_DEGC)), alpha)
    of_alpha = constant.alpha_pH * constant.per_starch
    of_beta = constant.beta_pH * constant.per_starch
    return alpha * of_alpha, on_open * of_alpha, beta_activity(mash_degC) * of_beta
