"""The balance of a fermentation and its gravities. See docs/wash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.quantities import gravity
from gristwright.records.streams import Wash, Wort
from gristwright.records.wash import WashEnd

NOTHING = 1e-9


def ferment(wort: Wort, draws: Draws, end: WashEnd | None = None) -> Wash:
    """Wash per tonne of grist; every array (members,). Efficiency is relative to the predicted spirit yield.

    It is what the simulated wash came to; without that `end` a usual washback's recovery.
    """
    recovery = draws["wash.alcohol_recovery"] if end is None else end.kept
    lpa = wort.potential_lpa_per_t * recovery
    # Carbon dioxide leaving and the falling density nearly cancel: 14 degPlato loses 6 % of mass and of density.
    abv = 100.0 * lpa / wort.volume_L_per_t
    real, sg = real_extract_and_sg(wort.original_gravity_degP, abv)
    return Wash(
        volume_L_per_t=wort.volume_L_per_t,
        abv_pct=abv,
        lpa_per_t=lpa,
        lost_lpa_per_t=wort.potential_lpa_per_t * (1.0 - recovery),
        final_gravity_sg=sg,
        # Husks alone make a wort of nothing, and a search passes over such a bill.
        end=end,
        attenuation_pct=100.0 * (wort.original_gravity_degP - real) / np.maximum(wort.original_gravity_degP, NOTHING),
    )


def real_extract_and_sg(degP: FloatArray, abv_pct: FloatArray, rounds: int = 12) -> tuple[FloatArray, FloatArray]:
    """Real extract [degP] and apparent gravity of the wash from Balling's balance, by fixed point on the density.

    Each round leaves a tenth of the error: 1e-14 after twelve, 2e-7 after five.
    """
    quotient = gravity.attenuation_quotient(degP)
    sg = np.ones_like(abv_pct)
    real = np.zeros_like(abv_pct)
    for _ in range(rounds):
        alcohol_pct_mass = abv_pct * gravity.ETHANOL_20C_kg_m3 / (sg * gravity.WATER_20C_kg_m3)
        real = degP - alcohol_pct_mass * (gravity.BALLING - 0.01 * (gravity.BALLING - 1.0) * degP)
        sg = gravity.sg_from_degP(real * (1.0 + quotient) - quotient * degP)
    return real, sg
