"""Raw grain: its starch at theory times an efficiency by species and cooking temperature. See docs/grist.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray

OWN_PRIOR = ("maize", "wheat", "rye")
# Maize gave 441.7 L/t cooked at 85 degC and 463.7 at 142 degC, wheat 457.7 and 447.8 (Green et al. 2015, J. Inst.
# Brew. 121:332, seen in a secondary text): relative change for each degree away from the better temperature.
MAIZE_BEST_DEGC, MAIZE_SLOPE = 142.0, (463.7 - 441.7) / 463.7 / (142.0 - 85.0)
WHEAT_BEST_DEGC, WHEAT_SLOPE = 85.0, (457.7 - 447.8) / 457.7 / (142.0 - 85.0)
MEASURED_DEGC = (85.0, 142.0)


def efficiency_name(species: str) -> str:
    """The prior that a raw grain's efficiency rests on."""
    return f"grist.raw_efficiency_{species if species in OWN_PRIOR else 'other'}"


def efficiency(species: str, cook_degC: float | None, draws: Draws) -> FloatArray:
    """Alcohol per alcohol at theory from the grain's starch, cooked as the house cooks; (members,).

    Below 85 degC nothing was measured: the value at 85 degC is used and the gelatinisation board speaks.
    """
    best = draws[efficiency_name(species)]
    degC = float(np.clip(cook_degC or MEASURED_DEGC[0], *MEASURED_DEGC))
    if species == "maize":
        return np.asarray(best * (1.0 - MAIZE_SLOPE * (MAIZE_BEST_DEGC - degC)))
    if species == "wheat":
        return np.asarray(best * (1.0 - WHEAT_SLOPE * (degC - WHEAT_BEST_DEGC)))
    return np.asarray(best)
