"""Named model `engineering`: the published kinetics and what a mash needs beside. See docs/mash_simulation.md.

On top of `brandam2003`: several grains, each opening at its own temperature and later in strong wort; open starch that
waits for enzyme; amylases that last as they do in a mash; raw starch; limit dextrinase; pH. Each has its own file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.integrate import rk4_step
from gristwright.records.mash import MashGrain, MashProgramme
from gristwright.stages.mash import enzymes as enzyme
from gristwright.stages.mash import ph
from gristwright.stages.mash.brandam2003 import alpha_activity, beta_activity, constants
from gristwright.stages.mash.gelatinisation import GristOpening, hottest_degC, opening
from gristwright.stages.mash.kinetics import (
    SUGAR_PER_STARCH,
    USUAL_DEXTRINASE,
    Contents,
    Rows,
    lasting,
    per_starch,
    strength,
)

# From here on alpha-amylase keeps its activity on open starch for as long as it lives; see `activities`.
HELD_FROM_DEGC = 70.0
# Factor on the published rates at which enzymes take open starch: between 3e-6 and 1e-5, so that 20 degIoB of the grist
# converts readily, 15 leaves a little and 7 fails (UK cereals report 0030/1/94 and distilling practice).
OPEN_STARCH_FACTOR = 5.477e-6
# Part of the slow attack on dextrins that goes with the malt's limit dextrinase: 0 to 0.6, our estimate.
DEXTRIN_BY_LIMIT_DEXTRINASE = 0.3


@dataclass(frozen=True)
class Constants:
    """What stays the same for the whole mash; arrays (members,)."""

    opening: GristOpening
    slow: float  # factor on the rates of open starch
    raw_per_s: FloatArray  # at alpha-amylase's reference dose and best activity
    per_starch: FloatArray  # dose of one U/g of grist relative to the fitted malt's
    alpha_loss: FloatArray
    beta_loss: FloatArray
    dextrinase_loss: FloatArray
    protection: FloatArray
    dextrinase_part: float
    alpha_pH: FloatArray
    beta_pH: FloatArray
    dextrinase_pH: FloatArray


def constants_of(grains: Sequence[MashGrain], pH: FloatArray, draws: Draws) -> Constants:
    """The constants of one grist; every array (members,). Raises Refused for a cereal without a table row."""
    c, width = constants(), draws["mash.pH_width"]
    best = float(alpha_activity(62.5)) * c["alpha_reference"]
    return Constants(
        opening=opening(grains, draws),
        slow=OPEN_STARCH_FACTOR,
        raw_per_s=draws["mash.raw_starch_per_h"] / (3600.0 * best),
        per_starch=per_starch(grains),
        alpha_loss=draws["mash.alpha_loss_factor"],
        beta_loss=draws["mash.beta_loss_factor"],
        dextrinase_loss=draws["mash.limit_dextrinase_loss_factor"],
        protection=draws["mash.beta_protection"],
        dextrinase_part=DEXTRIN_BY_LIMIT_DEXTRINASE,
        alpha_pH=ph.effect("alpha", pH, width),
        beta_pH=ph.effect("beta", pH, width),
        dextrinase_pH=ph.effect("limit dextrinase", pH, width),
    )


class Engineering:
    """The model for one grist on one set of draws; every array (members,)."""

    lasting_part, has_limit_dextrinase = 0.0, True

    def __init__(self, programme: MashProgramme, grains: Sequence[MashGrain], pH: FloatArray, draws: Draws) -> None:
        """Constants of the grist. Raises Refused for a cereal without a row in the table of grains."""
        self.rows = Rows(len(grains))
        self.constant = constants_of(grains, pH, draws)
        self.openable = self.constant.opening.openable([hottest_degC(programme, grain.key) for grain in grains])

    def put_in(self, y: FloatArray, grain: int, starch: FloatArray) -> None:
        """All of a grain's starch in one row."""
        y[grain] += starch

    def advance(self, y: FloatArray, contents: Contents, mash_degC: FloatArray, step_s: float) -> FloatArray:
        """See `Kinetics`."""
        constant = self.constant
        alpha, alpha_open, beta = activities(mash_degC, constant)
        alpha_alive = lasting(enzyme.alpha_loss_per_s(mash_degC, constant.alpha_loss), step_s)
        dextrinase = lasting(enzyme.dextrinase_loss_per_s(mash_degC, constant.dextrinase_loss), step_s)
        part = constant.dextrinase_part
        dose = contents.dextrinase_in * constant.per_starch * constant.dextrinase_pH / USUAL_DEXTRINASE
        alive = alpha_alive * contents.enzymes[0]
        now = Stretch(
            mash_degC=mash_degC,
            alpha=alpha * alive,
            alpha_open=alpha_open * alive,
            beta=beta * contents.enzymes[1],
            beta_loss_per_s=enzyme.beta_loss_per_s(mash_degC, constant.beta_loss),
            attack=1.0 - part + part * dose,
            still=contents.put_in,
            openable=self.openable,
            inert=contents.inert,
            water=contents.water,
        )
        y = advance(constant, now, y, step_s, self.rows)
        lived = np.array([alpha_alive[-1], np.exp(-y[self.rows.beta_loss]), dextrinase[-1]])
        contents.enzymes = contents.enzymes * lived
        y[self.rows.beta_loss] = 0.0
        return y


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


@cache
def _turns() -> FloatArray:
    """What the four attacks do, (6, 4): rows open starch, dextrin, glucose, maltose, maltotriose, water taken up.

    Columns: alpha and beta on open starch, alpha and beta on dextrin, each in starch attacked a second.
    """
    c = constants()
    glucose, maltotriose = [c["k_gl"], 0.0, c["d_gl"], 0.0], [c["k_mlt"], 0.0, c["d_mlt"], 0.0]
    sugar = np.array([glucose, [c["k_am"], c["k_bm"], c["d_am"], c["d_bm"]], maltotriose])
    by_alpha, by_beta = sugar[:, :2].sum(axis=0)
    mass = np.array(SUGAR_PER_STARCH)[:, None] * sugar
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
    g_per_100g = strength(y, now, rows)
    degC = constant.opening.shifted_degC(now.mash_degC[point], g_per_100g)
    return Felt(
        constant.opening.per_s(degC),
        now.still * (1.0 - now.openable * constant.opening.extent(degC)),
        enzyme.protected(now.beta_loss_per_s[point], g_per_100g, constant.protection),
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
