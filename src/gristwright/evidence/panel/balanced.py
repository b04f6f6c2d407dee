"""The named model `balanced`: every assessor has scored every cask alike, so mean squares say it all.

score = group + assessor + assessor x group + cask within group + rest; all but group drawn at random. Groups are the
rungs of the ladder and the arms. See docs/ageing.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import FloatArray
from gristwright.evidence.panel.contrast import Contrast, Part


@dataclass(frozen=True)
class Squares:
    """Group means and mean squares of a full table of assessors and casks. Arrays (members,) or (members, groups)."""

    mean: FloatArray  # (members, groups)
    counts: NDArray[np.int64]  # (groups,), casks
    assessors: int
    cask: FloatArray
    cask_freedom: int
    judging: FloatArray  # assessor x group
    judging_freedom: int
    rest: FloatArray
    rest_freedom: int

    @property
    def alike(self) -> float:
        """Casks a group in the expectation of the assessor x group mean square."""
        n = self.counts
        return float((n.sum() - (n**2).sum() / n.sum()) / (len(n) - 1))

    @property
    def judging_variance(self) -> FloatArray:
        """How differently assessors see the groups; never below nothing."""
        return np.maximum(self.judging - self.rest, 0.0) / self.alike


def squares(scores: FloatArray, group: NDArray[np.int64]) -> Squares:
    """Mean squares of `scores` (members, assessors, casks); `group` (casks,) counts from 0."""
    assessors, casks = scores.shape[1:]
    counts = np.bincount(group)
    to_group = (group[:, None] == np.arange(len(counts))) / counts
    cask = scores.mean(axis=1)
    judged = scores @ to_group  # (members, assessors, groups)
    mean = cask @ to_group
    level = scores.mean(axis=2)
    grand = level.mean(axis=1)
    about_cask = cask - mean[:, group]
    ssc = assessors * (about_cask**2).sum(axis=1)
    crossed = judged - level[:, :, None] - mean[:, None] + grand[:, None, None]
    ssj = (crossed**2 * counts).sum(axis=(1, 2))
    left = scores - judged[:, :, group] - about_cask[:, None]
    sse = (left**2).sum(axis=(1, 2))
    a, b, c = casks - len(counts), (assessors - 1) * (len(counts) - 1), (assessors - 1) * (casks - len(counts))
    return Squares(mean, counts, assessors, ssc / a, a, ssj / b, b, sse / c, c)


def against_line(squares: Squares, ages: FloatArray, arm: int) -> Contrast:
    """One group against the straight line through the groups that have an age; `ages` (groups,), NaN off the ladder."""
    ladder = np.isfinite(ages)
    n = np.where(ladder, squares.counts, 0).astype(np.float64)
    total = n.sum()
    centre = float((n * np.where(ladder, ages, 0.0)).sum() / total)
    u = np.where(ladder, ages - centre, 0.0)
    sxx = float((n * u * u).sum())
    level, slope = squares.mean @ (n / total), squares.mean @ (n * u / sxx)
    own = 1.0 / float(squares.counts[arm])
    of_casks = (own + 1.0 / total, 0.0, 1.0 / sxx)
    # The weight of rung g in the line at u is n/total + n u_g u/sxx; its square is summed over the rungs.
    of_judging = (
        1.0 + float(((n / total) ** 2).sum()),
        2.0 * float((n * n * u).sum()) / (total * sxx),
        float((n * n * u * u).sum()) / sxx**2,
    )
    each = 1.0 / squares.assessors
    parts = [_part(of_casks, squares.cask * each, squares.cask_freedom)]
    seen = np.where(squares.judging_variance > 0.0, each / squares.alike, 0.0)
    parts.append(_part(of_judging, seen * squares.judging, squares.judging_freedom))
    parts.append(_part(of_judging, -seen * squares.rest, squares.rest_freedom))
    return Contrast(centre, squares.mean[:, arm] - level, slope, tuple(parts))


def _part(weights: tuple[float, float, float], size: FloatArray, freedom: int) -> Part:
    c0, c1, c2 = (weight * size for weight in weights)
    return Part(c0, c1, c2, np.full_like(size, float(freedom)))
