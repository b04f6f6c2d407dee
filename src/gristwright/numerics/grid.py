"""All ways to share a whole among parts in equal steps."""

from __future__ import annotations

from math import comb

import numpy as np
from numpy.typing import NDArray


def count_shares(steps: int, parts: int) -> int:
    """How many ways there are to share `steps` among `parts`: C(steps + parts - 1, parts - 1)."""
    return comb(steps + parts - 1, parts - 1)


def all_shares(steps: int, parts: int) -> NDArray[np.int16]:
    """Every way, one a row, shape (count, parts); in lexical order of the rows."""
    rows = np.zeros((1, 0), dtype=np.int16)
    left = np.array([steps], dtype=np.int16)
    for _ in range(parts - 1):
        repeats = left.astype(np.int64) + 1
        starts = np.repeat(np.cumsum(repeats) - repeats, repeats)
        taken = (np.arange(repeats.sum()) - starts).astype(np.int16)
        rows = np.column_stack([np.repeat(rows, repeats, axis=0), taken])
        left = (np.repeat(left, repeats) - taken).astype(np.int16)
    return np.column_stack([rows, left]).astype(np.int16)
