"""Raw grain: its starch at theory times an efficiency by species and cooking temperature. See docs/grist.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.reference.grains import raw


def efficiency_name(species: str) -> str:
    """The prior that a raw grain's efficiency rests on. Raises Refused for a grain that is not kept raw."""
    return raw(species).efficiency


def efficiency(species: str, cook_degC: float | None, draws: Draws, opened: bool = False) -> FloatArray:
    """Alcohol per alcohol at theory from the grain's starch, cooked as the house cooks; (members,).

    Below the coolest cook that was measured its value is used and the gelatinisation board speaks; grain `opened` by
    steam and rollers needs no cook. Raises Refused for a grain that is not kept raw.
    """
    best, cooking = draws[efficiency_name(species)], raw(species).cooking
    if cooking is None or opened:
        return np.asarray(best)
    degC = np.clip(cook_degC or cooking.measured_degC[0], *cooking.measured_degC)
    return np.asarray(best * np.interp(degC, cooking.degC, cooking.opened))
