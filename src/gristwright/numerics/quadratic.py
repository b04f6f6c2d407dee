"""Where a quadratic is not positive: an interval, all but an interval, everything, or nothing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import FloatArray


class Form(IntEnum):
    """The shape of the set."""

    INTERVAL = 0  # low to high
    OUTSIDE = 1  # up to low, and from high on
    ALL = 2  # every value
    EMPTY = 3  # no value


@dataclass(frozen=True)
class ValueSet:
    """One set for each member; `low` and `high` are NaN where the form has no ends. Arrays (members,)."""

    form: NDArray[np.int8]
    low: FloatArray
    high: FloatArray

    def holds(self, value: float) -> NDArray[np.bool_]:
        """Whether each set holds the value; (members,)."""
        with np.errstate(invalid="ignore"):
            inside = (self.low <= value) & (value <= self.high)
            rays = (value <= self.low) | (value >= self.high)
        return np.select([self.form == Form.INTERVAL, self.form == Form.OUTSIDE], [inside, rays], self.form == Form.ALL)


def not_positive(a2: FloatArray, a1: FloatArray, a0: FloatArray) -> ValueSet:
    """All u with a2 u^2 + a1 u + a0 <= 0, for each member; coefficients (members,)."""
    inner = a1 * a1 - 4.0 * a2 * a0
    root = np.sqrt(np.where(inner < 0.0, np.nan, inner))
    # The stable pair of roots: no difference of two nearly equal numbers.
    q = -0.5 * (a1 + np.where(a1 < 0.0, -1.0, 1.0) * root)
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = np.stack([q / a2, np.where(q == 0.0, 0.0, a0 / q)])
    form = np.where(a2 > 0.0, np.where(inner < 0.0, Form.EMPTY, Form.INTERVAL), Form.OUTSIDE)
    form = np.where((a2 <= 0.0) & (inner < 0.0), Form.ALL, form).astype(np.int8)
    return ValueSet(form, np.min(ends, axis=0), np.max(ends, axis=0))
