"""Named model `engineering`: the published kinetics and what a mash needs beside. See docs/mash_simulation.md.

On top of `brandam2003`: several grains, each opening at its own temperature and later in strong wort; open starch that
waits for enzyme; amylases that last as they do in a mash; raw starch; limit dextrinase; pH. Each has its own file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import MaltEnzymes, MashGrain
from gristwright.stages.mash import enzymes as enzyme
from gristwright.stages.mash import ph
from gristwright.stages.mash.brandam2003 import alpha_activity, beta_activity, constants
from gristwright.stages.mash.gelatinisation import Opening, opening

RESTS_ON = (
    "mash.open_starch_factor",
    "mash.raw_starch_per_h",
    "mash.dextrin_by_limit_dextrinase",
)
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

    opening: Opening
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
    found = lots.get(key)
    if found is None:
        return np.zeros((3, grain.share.size))
    weight = part * grain.share
    return np.array(
        [weight * found.alpha_U_per_g, weight * found.beta_U_per_g, weight * found.limit_dextrinase_U_per_kg]
    )


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


def rates(constant: Constants, now: Stretch, point: int, y: FloatArray, rows: Rows) -> FloatArray:
    """Rates of change [1/s] of the state (rows, members) at one half step."""
    r, c = rows.open, constants()
    dy = np.empty_like(y)
    starch, openst, dextrin = y[:r], y[r], y[r + 1]
    solids = y[r + 1 : r + 5].sum(axis=0) + now.inert
    strength = 100.0 * solids / (solids + now.water - y[r + 5])
    felt = constant.opening.shifted_degC(now.mash_degC[point], strength)
    shut = now.still * (1.0 - now.openable * constant.opening.extent(felt))
    opened = constant.opening.per_s(felt) * np.maximum(starch - shut, 0.0)
    opened += (constant.raw_per_s * now.alpha[point]) * starch
    alpha, beta = now.alpha[point], now.beta[point] * np.exp(-y[r + 6])
    taken = constant.slow * openst
    by_alpha, by_beta = now.alpha_open[point] * taken, beta * taken
    slow = now.attack * dextrin
    slow_alpha, slow_beta = alpha * slow, beta * slow
    glucose = c["k_gl"] * by_alpha + c["d_gl"] * slow_alpha
    maltose = c["k_am"] * by_alpha + c["k_bm"] * by_beta + c["d_am"] * slow_alpha + c["d_bm"] * slow_beta
    maltotriose = c["k_mlt"] * by_alpha + c["d_mlt"] * slow_alpha
    dy[:r] = -opened
    all_alpha = c["k_gl"] + c["k_am"] + c["k_mlt"] + c["k_dex"]
    dy[r] = opened.sum(axis=0) - all_alpha * by_alpha - c["k_bm"] * by_beta
    all_slow = c["d_gl"] + c["d_am"] + c["d_mlt"]
    dy[r + 1] = c["k_dex"] * by_alpha - all_slow * slow_alpha - c["d_bm"] * slow_beta
    dy[r + 2] = GLUCOSE * glucose
    dy[r + 3] = MALTOSE * maltose
    dy[r + 4] = MALTOTRIOSE * maltotriose
    dy[r + 5] = (GLUCOSE - 1.0) * glucose + (MALTOSE - 1.0) * maltose + (MALTOTRIOSE - 1.0) * maltotriose
    dy[r + 6] = enzyme.protected(now.beta_loss_per_s[point], strength, constant.protection)
    return dy


def advance(constant: Constants, now: Stretch, y: FloatArray, step_s: float, rows: Rows) -> FloatArray:
    """The state after all steps of a stretch, by classical Runge-Kutta; the half steps are the stretch's points."""
    for start in range(0, len(now.mash_degC) - 1, 2):
        k1 = rates(constant, now, start, y, rows)
        k2 = rates(constant, now, start + 1, y + (0.5 * step_s) * k1, rows)
        k3 = rates(constant, now, start + 1, y + (0.5 * step_s) * k2, rows)
        k4 = rates(constant, now, start + 2, y + step_s * k3, rows)
        k2 += k3
        k2 *= 2.0
        k2 += k1
        k2 += k4
        y = y + (step_s / 6.0) * k2
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
