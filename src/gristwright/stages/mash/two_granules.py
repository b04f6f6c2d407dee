"""Named model `two_granules`: what measured mashes ask of a model, in as few steps. See docs/mash_simulation.md.

Starch lies in large and small granules, which open by a first-order rate that grows with temperature, without a
ceiling.
Alpha-amylase alone takes what is open, at a rate that saturates, and leaves a little sugar, limit dextrin and chains;
beta-amylase, of which a small part lasts longer, cuts the chains to maltose; limit dextrinase opens limit dextrin.
Constants and what they were fitted to: reference/tables/mash_two_granules.csv.

No step is stiff: opening, chains and limit dextrin are solved exactly for what stays constant over a step, the uptake
of open starch by the positive root of a quadratic (backward Euler).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import MashGrain, MashProgramme
from gristwright.reference import csv_rows
from gristwright.stages.mash import enzymes as enzyme
from gristwright.stages.mash import ph
from gristwright.stages.mash.brandam2003 import ZERO_DEGC_K, GAS_kJ_per_mol_K, constants
from gristwright.stages.mash.gelatinisation import GristOpening, hottest_degC, opening, usual_malt_degC
from gristwright.stages.mash.kinetics import (
    STARCH_OF_MALT,
    SUGAR_PER_STARCH,
    USUAL_DEXTRINASE,
    Contents,
    Rows,
    per_starch,
    total,
)

# The temperature at which activities count as one.
AT_DEGC = 65.0
# Width of barley malt in the table of grains, to which the steepness was fitted; wider ones open less steeply.
FITTED_WIDTH_K = 1.5
# What each attack makes: rows glucose, maltose, maltotriose.
MASS = np.array(SUGAR_PER_STARCH)[:, None]


@cache
def fitted() -> dict[str, float]:
    """The constants by name."""
    return {row["name"]: float(row["value"]) for row in csv_rows("tables/mash_two_granules.csv")}


@cache
def small_granules(species: str, malted: bool) -> float:
    """Share of the starch in small granules; none where the table of them does not hold the grain."""
    rows = csv_rows("tables/small_granules.csv")
    return next((float(row["malt" if malted else "raw"]) for row in rows if row["grain"] == species), 0.0)


@cache
def fastest_opening_per_s(grind: str) -> float:
    """The fastest that heat and water reach the starch of a grist so ground [1/s]."""
    return next(float(row["fastest_per_s"]) for row in csv_rows("tables/grinds.csv") if row["grind"] == grind)


def warmed(kJ_per_mol: float, mash_degC: FloatArray) -> FloatArray:
    """Arrhenius factor on a rate known at 65 degC; shape of the temperature."""
    turn = 1.0 / (AT_DEGC + ZERO_DEGC_K) - 1.0 / (mash_degC + ZERO_DEGC_K)
    return np.asarray(np.exp(kJ_per_mol / GAS_kJ_per_mol_K * turn))


@dataclass(frozen=True)
class StepRates:
    """What the temperature alone decides at the middle of every step of a stretch: arrays (steps, members)."""

    mash_degC: FloatArray
    uptake: FloatArray  # open starch taken in one step where there is plenty [kg/kg]
    raw: FloatArray  # share of unopened starch taken in one step all the same
    by_alpha: FloatArray  # exponent of the slow cut of chains by alpha-amylase in one step
    chains: FloatArray  # that by one U/g of beta-amylase
    debranched: FloatArray  # exponent of the opening of limit dextrin by limit dextrinase
    limit_by_alpha: FloatArray
    beta_loss: FloatArray  # exponent of the loss of beta-amylase's weaker part


class TwoGranules:
    """The model for one grist on one set of draws; every array (members,)."""

    has_limit_dextrinase = True

    def __init__(self, programme: MashProgramme, grains: Sequence[MashGrain], pH: FloatArray, draws: Draws) -> None:
        """Constants of the grist. Raises Refused for a cereal without a row in the table of grains."""
        c, width = fitted(), draws["mash.pH_width"]
        self.rows = Rows(2 * len(grains), dextrins=2)
        self.lasting_part = c["lasting_beta"]
        self.draws = draws
        self.opening = opening(grains, draws)
        shut = 1.0 - self.opening.openable([hottest_degC(programme, grain.key) for grain in grains])
        shares = np.array([small_granules(grain.species, grain.malted) for grain in grains])
        self.parts = np.stack([1.0 - shares, shares], axis=1).reshape(-1, 1)
        self.shut = np.repeat(shut, 2, axis=0)
        self.half_degC = _half_open_degC(self.opening, draws["mash.small_granule_shift_K"])
        self.steep = np.repeat(c["steepness_per_K"] * FITTED_WIDTH_K / self.opening.width_K, 2, axis=0)
        self.steep[1::2] *= c["small_steepness_per_K"] / c["steepness_per_K"]
        self.fastest = np.full((self.rows.unopened, 1), fastest_opening_per_s(programme.grind))
        self.dose = per_starch(grains)
        self.alpha_pH, self.beta_pH = ph.effect("alpha", pH, width), ph.effect("beta", pH, width)
        self.dextrinase_pH = ph.effect("limit dextrinase", pH, width)
        self.made = _made()
        self.reached: FloatArray | None = None  # strength of the wort at the end of the last stretch
        self.rising = np.zeros_like(pH)

    def put_in(self, y: FloatArray, grain: int, starch: FloatArray) -> None:
        """Large and small granules of a grain."""
        y[2 * grain : 2 * grain + 2] += self.parts[2 * grain : 2 * grain + 2] * starch

    def advance(self, y: FloatArray, contents: Contents, mash_degC: FloatArray, step_s: float) -> FloatArray:
        """See `Kinetics`."""
        now, lived = self._stretch(contents, mash_degC[1::2], step_s, thickness_g_per_100g(y, contents, self.rows))
        y = y.copy()
        still = np.repeat(contents.put_in, 2, axis=0) * self.parts * self.shut
        half = contents.water * (fitted()["half_uptake_g_per_L"] / 1000.0)
        rise = self._rise(y, contents)
        for step in range(len(now.mash_degC)):
            here = dissolved_g_per_100g(y, contents, self.rows)
            self._step(y, contents, now, step, step_s, still, half, here + 0.5 * step_s * rise)
            rise = (dissolved_g_per_100g(y, contents, self.rows) - here) / step_s
        self.reached, self.rising = dissolved_g_per_100g(y, contents, self.rows), rise
        weak, lasting = _beta_parts(contents, y[self.rows.beta_loss])
        alpha, _, dextrinase = contents.enzymes * lived
        contents.enzymes = np.array([alpha, weak + lasting, dextrinase])
        contents.lasting_beta = lasting
        y[self.rows.beta_loss] = 0.0
        return y

    def _rise(self, y: FloatArray, contents: Contents) -> FloatArray:
        """How fast the wort grows stronger [g/100 g s], as it did before, unless something was put in or drawn."""
        here = dissolved_g_per_100g(y, contents, self.rows)
        undisturbed = self.reached is not None and np.allclose(here, self.reached, rtol=0.0, atol=1e-9)
        return self.rising if undisturbed else np.zeros_like(here)

    def _stretch(
        self, contents: Contents, degC: FloatArray, step_s: float, thick_g_per_100g: FloatArray
    ) -> tuple[StepRates, FloatArray]:
        c, draws = fitted(), self.draws
        reference = constants()

        def over(rate: FloatArray) -> FloatArray:
            return np.minimum(rate, enzyme.GONE_PER_S) * step_s

        alpha_loss = c["alpha_loss_per_s"] * draws["mash.alpha_loss_factor"] * warmed(c["alpha_loss_kJ_per_mol"], degC)
        dextrinase_loss = enzyme.dextrinase_loss_per_s(degC, draws["mash.limit_dextrinase_loss_factor"])
        beta_loss = c["beta_loss_per_s"] * draws["mash.beta_loss_factor"] * warmed(c["beta_loss_kJ_per_mol"], degC)
        alpha_lost, dextrinase_lost = over(alpha_loss), over(dextrinase_loss)
        none = np.zeros(degC.shape[1])
        lived = np.exp(-np.array([total(alpha_lost), none, total(dextrinase_lost)]))
        alpha, _, dextrinase = contents.enzymes
        a = alpha * self.dose * self.alpha_pH / reference["alpha_reference"] * _through(alpha_lost)
        a = a * warmed(c["alpha_kJ_per_mol"], degC) * step_s
        of_beta = self.dose * self.beta_pH / reference["beta_reference"] * warmed(c["beta_kJ_per_mol"], degC)
        ld = dextrinase * self.dose * self.dextrinase_pH / USUAL_DEXTRINASE * _through(dextrinase_lost)
        return (
            StepRates(
                mash_degC=degC,
                uptake=STARCH_OF_MALT / draws["mash.open_starch_s"] * a,
                raw=draws["mash.raw_starch_per_h"] / 3600.0 * a,
                by_alpha=c["chains_by_alpha_per_s"] * a,
                chains=c["chains_per_s"] * draws["mash.chains_factor"] * step_s * of_beta,
                debranched=c["limit_per_s"] * warmed(c["dextrinase_kJ_per_mol"], degC) * step_s * ld,
                limit_by_alpha=c["limit_by_alpha_per_s"] * a,
                beta_loss=enzyme.protected(beta_loss, thick_g_per_100g, draws["mash.beta_protection"]) * step_s,
            ),
            lived,
        )

    def _step(
        self,
        y: FloatArray,
        contents: Contents,
        now: StepRates,
        step: int,
        step_s: float,
        still: FloatArray,
        half: FloatArray,
        middle: FloatArray,
    ) -> None:
        """One step in place; `middle` is the strength of the wort in the middle of it, `half` the open starch [kg/kg]
        at which alpha-amylase takes half as much as of plenty."""
        rows = self.rows
        opened = self._opened(y[: rows.unopened], now, step, step_s, middle, still)
        y[: rows.unopened] -= opened
        there = y[rows.open] + total(opened)
        left = open_left(y[rows.open], total(opened), now.uptake[step], half)
        y[rows.open] = left
        lost = now.beta_loss[step]
        weak, lasting = _beta_parts(contents, y[rows.beta_loss])
        slowly = lost / fitted()["lasting_times"]
        self._cut(y, there - left, now, step, weak * mean_alive(lost) + lasting * mean_alive(slowly))
        y[rows.beta_loss] += lost

    def _opened(
        self, unopened: FloatArray, now: StepRates, step: int, step_s: float, g_per_100g: FloatArray, still: FloatArray
    ) -> FloatArray:
        """Starch that opens in one step, and that alpha-amylase takes unopened, (rows, members)."""
        felt = self.opening.shifted_degC(now.mash_degC[step], g_per_100g)
        rate = np.exp(np.minimum(self.steep * (felt - self.half_degC), 20.0)) / fitted()["half_open_s"]
        share = -np.expm1(-np.minimum(rate, self.fastest) * step_s)
        opened = share * np.maximum(unopened - still, 0.0)
        return np.asarray(opened + now.raw[step] * (unopened - opened))

    def _cut(self, y: FloatArray, taken: FloatArray, now: StepRates, step: int, beta: FloatArray) -> None:
        """What becomes of the starch taken up in one step, and of dextrin that was there."""
        rows, c = self.rows, fitted()
        limit, chains = rows.dextrin.start, rows.dextrin.start + 1
        at_once, to_limit = c["sugar_at_once"] * taken, c["limit_share"] * taken
        both = now.debranched[step] + now.limit_by_alpha[step]
        from_limit = -np.expm1(-both) * (y[limit] + 0.5 * to_limit)
        by_dextrinase = from_limit * now.debranched[step] / np.maximum(both, 1e-30)
        y[limit] += to_limit - from_limit
        into = taken - at_once - to_limit + by_dextrinase
        by_beta = now.chains[step] * beta
        cuts = by_beta + now.by_alpha[step] + 1e-30
        stays = np.exp(-cuts)
        kept = y[chains] * stays + into * (-np.expm1(-cuts) / cuts)
        cut = y[chains] + into - kept
        y[chains] = kept
        cut_by_beta = cut * (by_beta / cuts)
        sugar = self.made[:, :1] * (at_once + from_limit - by_dextrinase + cut - cut_by_beta)
        sugar = sugar + self.made[:, 1:] * cut_by_beta
        y[rows.taken_up] += (sugar * (MASS - 1.0)).sum(axis=0)
        y[rows.sugars] += sugar * MASS


def thickness_g_per_100g(y: FloatArray, contents: Contents, rows: Rows) -> FloatArray:
    """Strength of the wort were all starch of the mash dissolved as it is [g/100 g], (members,); nothing changes it but
    what is put in or drawn.

    It is the thickness of a mash that keeps its beta-amylase: the fitted loss knows mashes, whose grain is in from the
    first minute, and no wort that grows stronger while the enzyme dies.
    """
    solids = total(y[: rows.taken_up]) - y[rows.taken_up] + contents.inert
    return np.asarray(100.0 * solids / (solids + contents.water))


# L-stable of second order, with two equal stages (Alexander 1977, SIAM J. Numer. Anal. 14:1006).
STAGE = 1.0 - 0.5 * np.sqrt(2.0)


def open_left(before: FloatArray, opened: FloatArray, plenty: FloatArray, half: FloatArray) -> FloatArray:
    """Open starch after a step of dO/dt = opened - plenty O/(O + half), all per step [kg/kg]; (members,).

    Each stage is the positive root of a quadratic: however stiff, it needs no smaller step.
    """
    first = _root(before + STAGE * opened, STAGE * plenty, half)
    there = before + (1.0 - STAGE) / STAGE * (first - before) + STAGE * opened
    return _root(np.maximum(there, 0.0), STAGE * plenty, half)


def _root(there: FloatArray, plenty: FloatArray, half: FloatArray) -> FloatArray:
    lack = half + plenty - there
    return np.asarray(0.5 * (np.sqrt(lack * lack + 4.0 * half * there) - lack))


def dissolved_g_per_100g(y: FloatArray, contents: Contents, rows: Rows) -> FloatArray:
    """All that is dissolved in the liquor, open starch with it, as enzymes feel it [g/100 g], (members,)."""
    solids = total(y[rows.open : rows.taken_up]) + contents.inert
    return np.asarray(100.0 * solids / (solids + contents.water - y[rows.taken_up]))


def _half_open_degC(place: GristOpening, small_shift_K: FloatArray) -> FloatArray:
    """Where a granule of each row opens at the fitted rate [degC], (rows, members)."""
    large = place.centre_degC + (fitted()["half_open_degC"] - usual_malt_degC())
    return np.asarray(np.stack([large, large + small_shift_K], axis=1).reshape(-1, large.shape[1]))


def mean_alive(loss: FloatArray) -> FloatArray:
    """Mean share alive over a step in which so much is lost as an exponent; shape of the loss."""
    return np.asarray(np.where(loss > 1e-9, -np.expm1(-loss) / np.maximum(loss, 1e-9), 1.0))


def _through(loss: FloatArray) -> FloatArray:
    """Mean share alive over every step of a stretch, from the loss over each, (steps, members)."""
    return np.asarray(np.exp(-(np.cumsum(loss, axis=0) - loss)) * mean_alive(loss))


def _beta_parts(contents: Contents, exponent: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Beta-amylase alive [U/g] after a loss of that exponent: what is lost soon, and the part that lasts."""
    lasting = contents.lasting_beta
    slower = exponent / fitted()["lasting_times"]
    return (contents.enzymes[1] - lasting) * np.exp(-exponent), np.asarray(lasting * np.exp(-slower))


@cache
def _made() -> FloatArray:
    """Shares of glucose, maltose and maltotriose that alpha-amylase and that beta-amylase make, (3, 2)."""
    c = fitted()
    return np.array([[c[f"{sugar}_by_{by}"] for by in ("alpha", "beta")] for sugar in _SUGARS])


_SUGARS = ("glucose", "maltose", "maltotriose")
