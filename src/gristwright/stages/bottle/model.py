"""Cask spirit to bottles: water of reduction by mass, then what handling and filling lose. See docs/bottle.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray, refuse_if_any
from gristwright.quantities import alcoholometry
from gristwright.records.streams import Bottled
from gristwright.stages.bottle import limits


def bottle(
    cask_lpa_per_t: FloatArray, cask_abv_pct: FloatArray, bottle_abv_pct: float, bottle_L: float, draws: Draws
) -> Bottled:
    """Bottles, pure alcohol and water per tonne of grist; arrays (members,), litres and %vol at 20 degC.

    Water is added by mass to the whole spirit (OIML R 22), then a share is lost. A member whose cask lies below the
    bottle's strength is NaN: see limits.share_below. Raises Refused when every member does, or see
    limits.bottle_problems.
    """
    refuse_if_any(limits.bottle_problems(cask_abv_pct, bottle_abv_pct, bottle_L))
    lost_share = draws["bottle.handling_loss_share"]
    strong_abv_pct = np.where(cask_abv_pct >= bottle_abv_pct, cask_abv_pct, np.nan)
    cut = alcoholometry.reduction(100.0 * cask_lpa_per_t / strong_abv_pct, strong_abv_pct, bottle_abv_pct)
    filled_L = cut.final_L * (1.0 - lost_share)
    return Bottled(
        lpa_per_t=filled_L * bottle_abv_pct / 100.0,
        lost_lpa_per_t=np.where(np.isnan(strong_abv_pct), np.nan, cask_lpa_per_t * lost_share),
        bottles_per_t=filled_L / bottle_L,
        water_L_per_t=cut.water_L,
    )
