"""An arm against the ladder's line on a panel's scale, as a function of age. See docs/ageing.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import FloatArray
from gristwright.numerics.quadratic import ValueSet, not_positive


@dataclass(frozen=True)
class Part:
    """One mean square's share of the variance, as c0 + c1 u + c2 u^2 with u the age about the centre; (members,)."""

    c0: FloatArray
    c1: FloatArray
    c2: FloatArray
    freedom: FloatArray

    def at(self, u: FloatArray) -> FloatArray:
        """The share at u."""
        return np.asarray(self.c0 + self.c1 * u + self.c2 * u * u)


@dataclass(frozen=True)
class Contrast:
    """Arm less ladder line: gap - slope u on the scale, with its variance. Arrays (members,)."""

    centre: float  # mean age of the ladder casks [years]
    gap: FloatArray  # arm less the line at the centre
    slope: FloatArray  # of the line, per year
    parts: tuple[Part, ...]

    def variance(self, u: FloatArray) -> FloatArray:
        """Variance of the contrast at u."""
        return np.asarray(sum(part.at(u) for part in self.parts))

    def freedom(self, u: FloatArray) -> FloatArray:
        """Satterthwaite's degrees of freedom at u (1946, Biometrics Bull. 2, 110-114)."""
        below = sum(part.at(u) ** 2 / part.freedom for part in self.parts)
        return np.asarray(self.variance(u) ** 2 / below)

    def at_age(self, years: float, confidence: float = 0.95) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Arm less ladder at an age, with its interval: middle, low, high (members,)."""
        u = np.full_like(self.gap, years - self.centre)
        middle = self.gap - self.slope * u
        half = _quantile(self.freedom(u), confidence) * np.sqrt(self.variance(u))
        return middle, middle - half, middle + half

    def age(self, confidence: float = 0.95) -> tuple[FloatArray, ValueSet, FloatArray, FloatArray]:
        """The age the ladder scores like the arm [years], the ages not excluded, Fieller's g, degrees of freedom."""
        d = self.gap / self.slope
        reach = np.sqrt(np.mean(self.variance(d)) + 0.0 * d)  # finite stand-in where the slope is nothing
        u = np.where(np.isfinite(d), d, reach)
        freedom = self.freedom(u)
        t2 = _quantile(freedom, confidence) ** 2
        v0, v1, v2 = (sum(getattr(part, name) for part in self.parts) for name in ("c0", "c1", "c2"))
        b, gap = self.slope, self.gap
        interval = not_positive(b * b - t2 * v2, -2.0 * b * gap - t2 * v1, gap * gap - t2 * v0)
        shifted = ValueSet(interval.form, interval.low + self.centre, interval.high + self.centre)
        return self.centre + d, shifted, np.asarray(t2 * v2 / (b * b)), freedom


def _quantile(freedom: FloatArray, confidence: float) -> FloatArray:
    from scipy.special import stdtrit

    return np.asarray(stdtrit(freedom, 0.5 + 0.5 * confidence))
