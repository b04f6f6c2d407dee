"""What yeast can take from a wort, now and with its enzymes alive: a closure. See docs/mash_simulation.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import Fermentability, Liquid
from gristwright.stages.mash.brandam2003 import constants, split

# Limit dextrinase of an all-malt wort of usual malt after a stand at 64 degC, per kilogram of grist; the published
# fermentabilities that the share of dextrin rests on come from such worts.
USUAL_DEXTRINASE_U_per_kg = 345.0
# Open starch in the washback: alpha-amylase has activity 1 at pitching temperature. Two days, our estimate.
WASHBACK_S = 48.0 * 3600.0
PER_STARCH = (180.156 / 162.141, 342.297 / 324.282, 504.438 / 486.423)


def fermentability(wort: Liquid, draws: Draws) -> Fermentability:
    """Fermentable part of a wort as it is (and if boiled), and unboiled with its enzymes alive; arrays (members,).

    Dextrin: share = 1 - (1 - phi)^a with a = (limit dextrinase alive / usual)^exponent; none alive, none turns. Open
    starch is first split by the amylases alive.
    """
    now = wort.sugar_kg_per_t
    to_dextrin, starch, sugar = _open_starch(wort, draws)
    ratio = wort.limit_dextrinase_U_per_kg / USUAL_DEXTRINASE_U_per_kg
    # A trace of it counts as none, or an exponent of nothing would let a boiled wort ferment on.
    alive = np.where(ratio > 1e-3, ratio, 0.0) ** np.maximum(draws["mash.unboiled_amount_exponent"], 1e-6)
    share = 1.0 - (1.0 - draws["mash.unboiled_dextrin_share"]) ** alive
    dextrin = wort.dextrin_kg_per_t + to_dextrin
    cut = share * dextrin
    later = now + sugar + cut * PER_STARCH[1]
    extract = wort.extract_kg_per_t
    # The extract grows by the water that starch and dextrin take up.
    grown = extract + (sugar - starch) + cut * (PER_STARCH[1] - 1.0)
    open_left = wort.open_starch_kg_per_t - to_dextrin - starch
    return Fermentability(100.0 * now / extract, 100.0 * later / grown, now, later, dextrin - cut, open_left)


def _open_starch(wort: Liquid, draws: Draws) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Kilograms of open starch that turn into dextrin, that turn into sugar, and that sugar, per tonne."""
    c = constants()
    alpha, beta = wort.alpha_U_per_kg / 1000.0, wort.beta_U_per_kg / 1000.0
    rate = (c["k_gl"] + c["k_am"] + c["k_mlt"] + c["k_dex"]) * alpha + c["k_bm"] * beta
    gone = 1.0 - np.exp(-rate * draws["mash.open_starch_factor"] * WASHBACK_S)
    parts = split(alpha, beta) * gone * wort.open_starch_kg_per_t
    sugar = np.tensordot(np.array(PER_STARCH), parts[1:], axes=1)
    return parts[0], parts[1:].sum(axis=0), np.asarray(sugar)
