"""What drained grain keeps of its extract, by strength of the wort and water gone through. See docs/mash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray
from gristwright.records.streams import Draining

# Liquor that drained grain holds for a kilogram of grist as weighed, derived from draff of 22 % dry matter; and the
# room that dissolved extract takes, from the density of 14 degP wort.
HELD_L_PER_KG, EXTRACT_L_PER_KG = 0.7, 0.62
MOST_KEPT = 0.6  # of the extract; more than any bed holds, and less than all of it
LEAST_LOSS = 1e-4


def kept_share(here: Draining, usual: Draining, usual_loss: FloatArray, tight: FloatArray) -> FloatArray:
    """Extract left in the drained grain, share of it, (members,): what is held, washed out as a usual mash is.

    `usual_loss` is left in the usual mash, whose washings bring what is held down to that; so many more litres bring it
    down so much further. `tight` is the factor by which a slow bed keeps more.
    """
    loss = np.maximum(usual_loss, LEAST_LOSS)
    washed = (loss / usual.held_share) ** (here.washed_L_per_kg / usual.washed_L_per_kg)
    kept = np.minimum(here.held_share * washed * tight, MOST_KEPT)
    return np.asarray(np.where(usual_loss > LEAST_LOSS, kept, usual_loss))
