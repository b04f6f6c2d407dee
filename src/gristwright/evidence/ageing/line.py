"""The named model `line`: markers rise or fall in a straight line with age.

One marker gives Fieller's limits; several are weighted by the inverse of their residual covariance, and what is left
over tests whether one age fits all. See docs/ageing.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import FloatArray
from gristwright.numerics.quadratic import ValueSet, not_positive
from gristwright.records.age_evidence import AgeReading


@dataclass(frozen=True)
class Lines:
    """Straight lines of q markers on the ages of n casks, all measured in the same casks."""

    centre: float  # mean age [years]
    sxx: float  # sum of squares of the ages about it
    casks: int
    level: FloatArray  # (members, q), the line at the mean age
    slope: FloatArray  # (members, q), per year
    scatter: FloatArray  # (members, q, q), sums of squares and products about the lines

    def only(self, marker: int) -> Lines:
        """The line of one marker."""
        k = slice(marker, marker + 1)
        return Lines(self.centre, self.sxx, self.casks, self.level[:, k], self.slope[:, k], self.scatter[:, k, k])


def fit_lines(ages: FloatArray, values: FloatArray) -> Lines:
    """Least squares through cask means. `ages` (casks,) [years], `values` (members, casks, q)."""
    centre = float(ages.mean())
    u = ages - centre
    sxx = float(u @ u)
    level = values.mean(axis=1)
    slope = np.einsum("c,mcq->mq", u, values) / sxx
    left = values - level[:, None] - slope[:, None] * u[:, None]
    return Lines(centre, sxx, len(ages), level, slope, np.einsum("mcp,mcq->mpq", left, left))


def misfit(ages: FloatArray, values: FloatArray) -> tuple[FloatArray, int, int]:
    """F of the rungs about the line against the casks about their rungs, with its degrees of freedom; F (members, q).

    NaN with fewer than three ages or no age with two casks.
    """
    rungs = np.unique(ages)
    top, bottom = len(rungs) - 2, len(ages) - len(rungs)
    total = np.einsum("mqq->mq", fit_lines(ages, values).scatter)
    if top < 1 or bottom < 1:
        return np.full_like(total, np.nan), top, bottom
    within = sum(
        ((values[:, ages == age] - values[:, ages == age].mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
        for age in rungs
    )
    return np.maximum(total - within, 0.0) / top / (within / bottom), top, bottom


def read_arm(lines: Lines, arm: FloatArray, confidence: float = 0.95) -> AgeReading:
    """The age at which the lines give what the arm's casks show. `arm` (members, casks, q).

    Ladder and arm casks share one covariance, taken from both: casks - 2 + arm casks - 1 degrees of freedom.
    """
    mean = arm.mean(axis=1)
    about = arm - mean[:, None]
    scatter = lines.scatter + np.einsum("mcp,mcq->mpq", about, about)
    freedom = lines.casks - 2 + arm.shape[1] - 1
    return read_mean(lines, mean, 1.0 / arm.shape[1], scatter / freedom, freedom, confidence)


def read_mean(
    lines: Lines, mean: FloatArray, per_cask: float, covariance: FloatArray, freedom: int, confidence: float = 0.95
) -> AgeReading:
    """The age of a mean of new casks; `per_cask` is 1 over their number, 0 for a mean without error of its own.

    `mean` (members, q), `covariance` (members, q, q) of one cask. The estimate is Brown's (1982, J. R. Stat. Soc. B 44,
    287-321); the test along the line is adjusted for the rest as Rao does (1966), which for one marker is Fieller's
    (1954, J. R. Stat. Soc. B 16, 175-185). The direction of the line is taken as known in that adjustment.
    """
    from scipy.special import fdtrc, stdtrit

    q = lines.slope.shape[1]
    weights = np.linalg.solve(covariance, lines.slope[:, :, None])[:, :, 0]  # S^-1 b
    strength = np.einsum("mq,mq->m", weights, lines.slope)  # b' S^-1 b
    away = mean - lines.level
    d = np.einsum("mq,mq->m", weights, away) / strength
    rest = away - lines.slope * d[:, None]
    spread = np.einsum("mq,mq->m", rest, np.linalg.solve(covariance, rest[:, :, None])[:, :, 0])
    left = freedom - q + 1
    critical = float(stdtrit(left, 0.5 + 0.5 * confidence)) ** 2 * freedom / left
    base = per_cask + 1.0 / lines.casks
    limits = _limits(d, strength, critical, base + spread / freedom, lines.sxx)
    at_estimate = base + d * d / lines.sxx
    statistic = spread / at_estimate * (left + 1) / (freedom * max(q - 1, 1))
    agreement = fdtrc(q - 1, left + 1, statistic) if q > 1 else np.full_like(d, np.nan)
    shifted = ValueSet(limits.form, limits.low + lines.centre, limits.high + lines.centre)
    return AgeReading(lines.centre + d, shifted, critical / (strength * lines.sxx), np.asarray(agreement), left)


def _limits(d: FloatArray, strength: FloatArray, critical: float, base: FloatArray, sxx: float) -> ValueSet:
    """All u with strength (d - u)^2 <= critical (base + u^2 / sxx)."""
    a2 = strength - critical / sxx
    return not_positive(a2, -2.0 * strength * d, strength * d * d - critical * base)
