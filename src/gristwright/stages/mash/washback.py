"""What yeast can take from a wort, now and with its enzymes alive: a closure. See docs/mash_simulation.md.

In an unboiled washback alpha-amylase goes on with open starch and with chains, limit dextrinase with limit dextrin:

    open starch, chains   turned = 1 - exp(-alpha alive, as a dose, x hours / 72 / enough)
    limit dextrin         turned = 1 - (1 - most)^((limit dextrinase alive / usual)^exponent)

so that a washback with malt enough turns about nine tenths of what a grain mash hands on, and less, smoothly, as
enzyme and hours fall short. No source measures the fall: `enough` is chosen so that grain houses as they are (a tenth
of strong malt) lie where it is flat and a fiftieth does not.
"""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import USUAL_FERMENT_HOURS, Fermentability, Liquid, MashProgramme
from gristwright.stages.mash.brandam2003 import constants
from gristwright.stages.mash.kinetics import STARCH_OF_MALT, SUGAR_PER_STARCH, USUAL_DEXTRINASE
from gristwright.stages.mash.two_granules import fitted

# Of limit dextrinase, the dose alive in an all-malt wort of usual malt after a stand at 64 degC: the published
# fermentabilities that the share of limit dextrin rests on come from such worts.
USUAL_ALIVE = 0.86
# Sugar in the washback is counted as maltose.
MALTOSE = SUGAR_PER_STARCH[1]


def fermentability(
    wort: Liquid, starch_in_kg_per_t: FloatArray, programme: MashProgramme, draws: Draws
) -> Fermentability:
    """Fermentable part of a wort as it is (and if boiled), and unboiled with its enzymes alive; arrays (members,).

    Where the model does not tell limit dextrin apart, all dextrin counts as that.
    """
    now = wort.sugar_kg_per_t
    alpha, dextrinase = exponents(wort, starch_in_kg_per_t, draws)
    by_alpha = -np.expm1(-alpha * programme.ferment_hours / USUAL_FERMENT_HOURS)
    by_dextrinase = -np.expm1(-dextrinase)
    limit = wort.dextrin_kg_per_t if wort.limit_dextrin_kg_per_t is None else wort.limit_dextrin_kg_per_t
    chains = wort.dextrin_kg_per_t - limit
    split = by_alpha * wort.open_starch_kg_per_t
    to_limit = fitted()["limit_share"] * split
    cut = by_dextrinase * (limit + to_limit) + by_alpha * chains
    made = cut + split - to_limit
    later, extract = now + MALTOSE * made, wort.extract_kg_per_t
    return Fermentability(
        now_pct=100.0 * now / extract,
        # The extract grows by the water that starch and dextrin take up.
        unboiled_pct=100.0 * later / (extract + (MALTOSE - 1.0) * made),
        now_kg_per_t=now,
        unboiled_kg_per_t=later,
        dextrin_left_kg_per_t=wort.dextrin_kg_per_t + to_limit - cut,
        open_starch_left_kg_per_t=wort.open_starch_kg_per_t - split,
        short_kg_per_t=(1.0 - by_alpha) * (wort.open_starch_kg_per_t + chains),
        alpha_exponent=alpha,
        dextrinase_exponent=dextrinase,
    )


def exponents(wort: Liquid, starch_in_kg_per_t: FloatArray, draws: Draws) -> tuple[FloatArray, FloatArray]:
    """What alpha-amylase and limit dextrinase turn in 72 hours of a usual washback, as exponents; (members,) each.

    A share 1 - exp(-exponent) is turned: of open starch and chains, and of limit dextrin.
    """
    per_starch = STARCH_OF_MALT / np.maximum(starch_in_kg_per_t / 1000.0, 1e-9)
    alpha = per_starch * wort.alpha_U_per_kg / 1000.0 / constants()["alpha_reference"]
    ratio = per_starch * wort.limit_dextrinase_U_per_kg / USUAL_DEXTRINASE / USUAL_ALIVE
    # A trace of it counts as none, or an exponent of nothing would let a boiled wort ferment on.
    amount = np.where(ratio > 1e-3, ratio, 0.0) ** np.maximum(draws["mash.unboiled_amount_exponent"], 1e-6)
    by_dextrinase = -np.log1p(-draws["mash.unboiled_dextrin_share"]) * amount
    return np.asarray(alpha / draws["mash.enough_in_washback"]), np.asarray(by_dextrinase)
