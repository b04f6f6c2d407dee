"""How growth and fermentation feel the temperature: the cardinal model. See docs/wash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray


def cardinal(
    degC: FloatArray, coldest_degC: FloatArray | float, best_degC: FloatArray | float, warmest_degC: FloatArray | float
) -> FloatArray:
    """Pace at a temperature over that at the best, 0 to 1, nothing outside; shape of `degC`.

    Cardinal temperature model with inflexion, Rosso, Lobry & Flandrois 1993, J. Theor. Biol. 162:447-463.
    """
    inside = (degC > coldest_degC) & (degC < warmest_degC)
    felt = np.where(inside, degC, best_degC)
    above = best_degC - coldest_degC
    top = (felt - warmest_degC) * (felt - coldest_degC) ** 2
    below = above * (above * (felt - best_degC) - (best_degC - warmest_degC) * (best_degC + coldest_degC - 2.0 * felt))
    return np.asarray(np.where(inside, np.clip(top / below, 0.0, 1.0), 0.0))
