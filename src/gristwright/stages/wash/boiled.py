"""Boiled wort, the brewer's side: limit attenuation, strength and colour. See docs/wash.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.quantities import gravity
from gristwright.records.streams import Wort
from gristwright.records.wash import WashEnd

# A Congress wort, in which malt colour is measured, holds about 8.6 degP.
CONGRESS_DEGP = 8.6


@dataclass(frozen=True)
class Beer:
    """Beer from one grist; every array (members,)."""

    limit_attenuation_pct: FloatArray  # real
    apparent_attenuation_pct: FloatArray
    final_gravity_sg: FloatArray
    abv_pct: FloatArray
    colour_EBC: FloatArray


def limit_attenuation_pct(
    malt_fermentable: FloatArray, raw_extract: FloatArray, extract: FloatArray, draws: Draws
) -> FloatArray:
    """Real limit attenuation of the boiled wort [%], (members,): what malt and raw grain bring by extract."""
    raw = raw_extract * draws["wash.raw_fermentability_pct"] / 100.0
    return np.asarray(100.0 * (malt_fermentable * draws["wash.boiled_over_unboiled"] + raw) / extract)


def brew(wort: Wort, limit_pct: FloatArray, grist_EBC: FloatArray, draws: Draws, end: WashEnd | None = None) -> Beer:
    """Beer by Balling's balance from original extract and attenuation; (members,).

    Colour adds by mass and grows with the strength of the wort: a first look, within a fifth for pale to amber beers.
    """
    original = wort.original_gravity_degP
    reached = draws["wash.attenuation_of_limit"] if end is None else np.minimum(end.attenuated, 1.0)
    attenuated = limit_pct / 100.0 * reached
    real = original * (1.0 - attenuated)
    quotient = gravity.attenuation_quotient(original)
    apparent = real * (1.0 + quotient) - quotient * original
    sg = gravity.sg_from_degP(apparent)
    alcohol = gravity.alcohol_pct_mass(original, real)
    return Beer(
        limit_attenuation_pct=limit_pct,
        apparent_attenuation_pct=100.0 * (original - apparent) / original,
        final_gravity_sg=sg,
        abv_pct=gravity.abv_pct_of_wash(alcohol, sg),
        colour_EBC=grist_EBC * original / CONGRESS_DEGP + draws["wash.colour_of_boil_EBC"],
    )
