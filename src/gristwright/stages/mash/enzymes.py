"""Enzymes of a lot, and how heat takes them in a mash. See docs/mash_simulation.md.

What was fitted: the loss of beta-amylase and its protection by strong wort to two points of Muller 1991 (65 degC,
2.5 L/kg: 83 % lost in 30 min, 92 % in 60 min); the loss of limit dextrinase to the 26-60 % left by a Congress mash.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import MaltEnzymes, MashGrain
from gristwright.stages.mash.brandam2003 import ZERO_DEGC_K, GAS_kJ_per_mol_K, arrhenius_per_s, constants

# Strength of the wort of a mash of 2.5 L/kg, at which the loss was fitted.
PROTECTED_g_per_100g = 25.0
# Loss at that strength over the published one, which is too fast for what is found in a mash.
BETA_LOSS_RATIO = 0.127
# Limit dextrinase: 40 % survives a Congress mash (45 degC, 1 K/min, 70 degC for an hour). The temperature coefficient
# lies between those of the two amylases; our estimate.
DEXTRINASE_65_PER_S, DEXTRINASE_Ed = 5.64e-5, 280.0
# Faster than this an enzyme is gone within one step anyway [1/s].
GONE_PER_S = 1.0


def from_certificate(
    draws: Draws,
    degLintner: ArrayLike,
    dextrinising_units: ArrayLike,
    alpha_U_per_g: FloatArray | None = None,
    beta_U_per_g: FloatArray | None = None,
    limit_dextrinase_U_per_kg: FloatArray | None = None,
) -> MaltEnzymes:
    """Enzymes of a malt (members,) from diastatic power and dextrinising units as weighed, unless measured in U.

    The two are separate quantities with no trustworthy factor between them: the priors' spread says how far.
    """
    alpha, beta = alpha_U_per_g, beta_U_per_g
    if alpha is None:
        alpha = np.asarray(dextrinising_units) * draws["mash.alpha_per_dextrinising_unit"]
    if beta is None:
        beta = np.asarray(degLintner) * draws["mash.beta_per_degLintner"]
    dextrinase = limit_dextrinase_U_per_kg
    if dextrinase is None:
        alive = np.asarray(degLintner) > 0.0
        dextrinase = np.where(alive, draws["mash.limit_dextrinase_U_per_kg"], 0.0)
    return MaltEnzymes(np.asarray(alpha), np.asarray(beta), np.asarray(dextrinase))


def put_in(grains: Sequence[MashGrain], lots: Mapping[str, MaltEnzymes], key: str, part: float) -> FloatArray:
    """Alpha, beta [U/g of grist] and limit dextrinase [U/kg of grist] that a part of one grain brings, (3, members)."""
    grain = next(grain for grain in grains if grain.key == key)
    lot = lots.get(key)
    if lot is None:
        return np.zeros((3, grain.share.size))
    weight = part * grain.share
    return np.array([weight * lot.alpha_U_per_g, weight * lot.beta_U_per_g, weight * lot.limit_dextrinase_U_per_kg])


def alpha_loss_per_s(mash_degC: FloatArray, factor: FloatArray) -> FloatArray:
    """First-order loss of alpha-amylase [1/s]; shape of the temperature. Constants of `brandam2003`, from memory."""
    return np.asarray(np.minimum(arrhenius_per_s("alpha", mash_degC) * factor, GONE_PER_S))


def beta_loss_per_s(mash_degC: FloatArray, factor: FloatArray) -> FloatArray:
    """First-order loss of beta-amylase [1/s] in wort of 25 g/100 g; shape of the temperature. Then see `protected`."""
    return np.asarray(arrhenius_per_s("beta", mash_degC) * (factor * BETA_LOSS_RATIO))


def protected(loss_per_s: FloatArray, wort_g_per_100g: FloatArray, protection: FloatArray) -> FloatArray:
    """The loss [1/s] in wort of another strength: exponential in the difference to 25 g/100 g; (members,)."""
    weaker = np.exp((PROTECTED_g_per_100g - wort_g_per_100g) * protection)
    return np.asarray(np.minimum(loss_per_s * weaker, GONE_PER_S))


def dextrinase_loss_per_s(mash_degC: FloatArray, factor: FloatArray) -> FloatArray:
    """First-order loss of total limit dextrinase [1/s]; shape of the temperature."""
    turn = 1.0 / (65.0 + ZERO_DEGC_K) - 1.0 / (mash_degC + ZERO_DEGC_K)
    rate = DEXTRINASE_65_PER_S * factor * np.exp(DEXTRINASE_Ed / GAS_kJ_per_mol_K * turn)
    return np.asarray(np.minimum(rate, GONE_PER_S))


def reference_malt() -> MaltEnzymes:
    """The malt whose starch the published constants convert, (1,): 220 and 487 U/g; limit dextrinase in mid range."""
    c = constants()
    return MaltEnzymes(np.array([c["alpha_reference"]]), np.array([c["beta_reference"]]), np.array([400.0]))
