"""What inverse prediction hands back, whichever model was used."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import FloatArray
from gristwright.numerics.quadratic import Form, ValueSet

# One age for all markers is given up below this p-value.
AGREE_AT = 0.05


@dataclass(frozen=True)
class Reading:
    """An age for each member with the ages that cannot be excluded. Arrays (members,).

    `weakness` is Fieller's g: from 1 on no finite interval exists. `agreement` is the p-value of one age for all
    markers, NaN for a single marker.
    """

    estimate: FloatArray  # [years]
    ages: ValueSet  # [years]
    weakness: FloatArray
    agreement: FloatArray
    freedom: float

    def older_than(self, years: float) -> NDArray[np.bool_]:
        """Whether the whole interval lies above an age."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.ages.form == Form.INTERVAL) & (self.ages.low > years))

    def younger_than(self, years: float) -> NDArray[np.bool_]:
        """Whether the whole interval lies below an age."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.ages.form == Form.INTERVAL) & (self.ages.high < years))
