"""Furfural that yeast takes up in the washback, first order in living yeast. See docs/wash.md.

One measured fermentation stands behind the pace, of a must that was no malt wash and whose yeast was not counted: the
pace is a wide range. In a usual wash either end of it leaves next to nothing.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import FloatArray
from gristwright.reference import csv_rows


@cache
def measured() -> dict[str, tuple[float, float]]:
    """Low and high of `per_h` [1/h] and of `yeast_g_per_L`, the yeast of the must it was measured in."""
    return {row["name"]: (float(row["low"]), float(row["high"])) for row in csv_rows("tables/wash_furfural.csv")}


def pace_L_per_g_h() -> tuple[float, float]:
    """Low and high of the pace of a gram of living yeast in a litre [L/(g h)]: slow over most, fast over fewest."""
    (slow, fast), (fewest, most) = measured()["per_h"], measured()["yeast_g_per_L"]
    return slow / most, fast / fewest


def furfural_left(yeast_hours_g_h_per_L: ArrayLike, per_g_h: ArrayLike) -> FloatArray:
    """Share of the wort's furfural that is left, 0 to 1; arguments broadcast.

    `yeast_hours_g_h_per_L` is living yeast times hours, added up over the wash; `per_g_h` the pace [L/(g h)].
    """
    return np.asarray(np.exp(-np.asarray(per_g_h, dtype=float) * np.asarray(yeast_hours_g_h_per_L, dtype=float)))


def furfural_left_after(hours: ArrayLike, alive_g_per_L: ArrayLike, per_g_h: ArrayLike) -> FloatArray:
    """The same after so many hours at a level amount of living yeast; hours [h], yeast [g/L], pace [L/(g h)]."""
    return furfural_left(np.asarray(hours, dtype=float) * np.asarray(alive_g_per_L, dtype=float), per_g_h)
