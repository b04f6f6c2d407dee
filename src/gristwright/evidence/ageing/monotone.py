"""The named model `monotone`: a smooth curve that only rises, or only falls, through the rungs of the ladder.

The rungs' means are pooled until they are in order, joined by a monotone cubic, and the curve is inverted inside the
ladder only. See docs/ageing.md.
"""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray
from gristwright.numerics.quadratic import Form, ValueSet
from gristwright.records.age_evidence import AgeReading

STEPS = 801


def _curves(ages: FloatArray, values: FloatArray, grid: FloatArray) -> FloatArray:
    """The curve of each marker on the grid; values (casks, q), result (grid, q)."""
    from scipy.interpolate import PchipInterpolator
    from scipy.optimize import isotonic_regression

    rungs, counts = np.unique(ages, return_counts=True)
    columns = []
    for marker in values.T:
        means = np.array([marker[ages == age].mean() for age in rungs])
        rising = np.polyfit(ages, marker, 1)[0] >= 0.0
        pooled = isotonic_regression(means, weights=counts, increasing=bool(rising)).x
        columns.append(PchipInterpolator(rungs, pooled)(grid))
    return np.column_stack(columns)


def _error_share(ages: FloatArray, grid: FloatArray) -> FloatArray:
    """Variance of the curve over that of one cask, taken as between the two neighbouring rungs; (grid,)."""
    rungs, counts = np.unique(ages, return_counts=True)
    right = np.clip(np.searchsorted(rungs, grid), 1, len(rungs) - 1)
    part = (grid - rungs[right - 1]) / (rungs[right] - rungs[right - 1])
    return np.asarray((1.0 - part) ** 2 / counts[right - 1] + part**2 / counts[right])


def _within(ages: FloatArray, values: FloatArray) -> FloatArray:
    """Sums of squares and products of the casks about their rung; (q, q)."""
    about = np.concatenate([values[ages == age] - values[ages == age].mean(axis=0) for age in np.unique(ages)])
    return np.asarray(about.T @ about)


def read_monotone(ages: FloatArray, values: FloatArray, arm: FloatArray, confidence: float = 0.95) -> AgeReading:
    """The age inside the ladder at which the curves give what the arm shows, for one ladder.

    `ages` (casks,), `values` (casks, q), `arm` (arm casks, q). Limits by inverting the same test as of model `line`, at
    each age along the tangent; NaN ends and form ALL when no age of the ladder is excluded.
    """
    from scipy.special import fdtrc, stdtrit

    q, count = values.shape[1], len(arm)
    freedom = len(ages) - len(np.unique(ages)) + count - 1
    about = arm - arm.mean(axis=0)
    covariance = (_within(ages, values) + about.T @ about) / freedom
    grid = np.linspace(ages.min(), ages.max(), STEPS)
    curve = _curves(ages, values, grid)
    share = 1.0 / count + _error_share(ages, grid)
    along, rest = _split(arm.mean(axis=0) - curve, np.gradient(curve, grid, axis=0), np.linalg.inv(covariance))
    left = freedom - q + 1
    critical = float(stdtrit(left, 0.5 + 0.5 * confidence)) ** 2 * freedom / left
    kept = along <= critical * (share + rest / freedom)
    best = int(np.argmin(along + rest))
    statistic = rest[best] / share[best] * (left + 1) / (freedom * max(q - 1, 1))
    agreement = float(fdtrc(q - 1, left + 1, statistic)) if q > 1 else float("nan")
    return AgeReading(grid[best : best + 1], _hull(grid, kept), np.array([np.nan]), np.array([agreement]), left)


def _split(away: FloatArray, tangent: FloatArray, inverse: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Squared distance along the tangent and across it; both (grid,). A level curve has no along."""
    total = np.einsum("gp,pq,gq->g", away, inverse, away)
    length = np.einsum("gp,pq,gq->g", tangent, inverse, tangent)
    part = np.einsum("gp,pq,gq->g", tangent, inverse, away)
    along = np.where(length > 0.0, part**2 / np.maximum(length, 1e-300), 0.0)
    return along, np.maximum(total - along, 0.0)


def _hull(grid: FloatArray, kept: FloatArray) -> ValueSet:
    inside = grid[kept]
    if not len(inside):
        return ValueSet(np.array([Form.EMPTY], np.int8), np.array([np.nan]), np.array([np.nan]))
    form = Form.ALL if len(inside) == len(grid) else Form.INTERVAL
    return ValueSet(np.array([form], np.int8), inside[:1], inside[-1:])
