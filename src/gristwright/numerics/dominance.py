"""Which rows of a table of objectives no other row beats."""

from __future__ import annotations

import numpy as np

from gristwright.basics import BoolArray, FloatArray


def not_dominated(objectives: FloatArray, tolerance: float = 1e-9) -> BoolArray:
    """True where no other row is as good in every column and better in one; smaller is better.

    Shape (rows, columns) in, (rows,) out.
    """
    kept = np.ones(len(objectives), dtype=np.bool_)
    for row, values in enumerate(objectives):
        as_good = np.all(objectives <= values + tolerance, axis=1)
        better = np.any(objectives < values - tolerance, axis=1)
        kept[row] = not bool(np.any(as_good & better))
    return kept
