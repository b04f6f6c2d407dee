"""All ways to share a whole among parts in equal steps: counted exactly, listed, and listed around a point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.int16]
# Sum and number of parts used -> in how many ways.
Ways = dict[tuple[int, int], int]


@dataclass(frozen=True)
class Bounds:
    """Least and most steps of each part, groups of parts with bounds of their own, and how many parts may be used."""

    low: tuple[int, ...]
    high: tuple[int, ...]
    groups: tuple[tuple[tuple[int, ...], int, int], ...] = ()
    most_used: int = 99


def count_shares(steps: int, parts: int, most_used: int = 99) -> int:
    """How many ways share `steps` among `parts` of which at most `most_used` get any.

    Sum over j used parts of C(parts, j) C(steps - 1, j - 1); without a limit C(steps + parts - 1, parts - 1).
    """
    return sum(comb(parts, used) * comb(steps - 1, used - 1) for used in range(1, min(parts, most_used) + 1))


def all_shares(steps: int, parts: int, most_used: int = 99) -> Rows:
    """Every such way, one a row, shape (count, parts); in lexical order of the rows."""
    return listed(steps, Bounds((0,) * parts, (steps,) * parts, (), most_used))


def count_bounded(steps: int, bounds: Bounds) -> int:
    """How many ways keep the bounds, without listing them; groups must not share a part.

    Each group, and the parts in no group, is a polynomial in sum and parts used; the groups' ends cut theirs.
    """
    grouped = {part for members, _, _ in bounds.groups for part in members}
    loose = tuple(part for part in range(len(bounds.low)) if part not in grouped)
    whole: Ways = {(0, 0): 1}
    for members, low, high in (*bounds.groups, (loose, 0, steps)):
        own: Ways = {(0, 0): 1}
        for part in members:
            own = _times(own, _part(steps, bounds, part))
        own = {key: ways for key, ways in own.items() if low <= key[0] <= high}
        whole = _times(whole, own, steps, bounds.most_used)
    return sum(ways for (total, _), ways in whole.items() if total == steps)


def _part(steps: int, bounds: Bounds, part: int) -> Ways:
    return {(n, int(n > 0)): 1 for n in range(bounds.low[part], min(bounds.high[part], steps) + 1)}


def _times(one: Ways, other: Ways, steps: int = 10**9, most_used: int = 99) -> Ways:
    product: Ways = {}
    for (a, used_a), ways_a in one.items():
        for (b, used_b), ways_b in other.items():
            if a + b <= steps and used_a + used_b <= most_used:
                key = (a + b, used_a + used_b)
                product[key] = product.get(key, 0) + ways_a * ways_b
    return product


def listed(steps: int, bounds: Bounds) -> Rows:
    """Every way that keeps the bounds, one a row, shape (count, parts); in lexical order of the rows."""
    parts = len(bounds.low)
    rows = np.zeros((1, 0), dtype=np.int16)
    left = np.array([steps], dtype=np.int64)
    used = np.zeros(1, dtype=np.int64)
    for part in range(parts):
        rest_low, rest_high = sum(bounds.low[part + 1 :]), sum(bounds.high[part + 1 :])
        first = np.maximum(bounds.low[part], left - rest_high)
        last = np.minimum(bounds.high[part], left - rest_low)
        spent = used >= bounds.most_used  # may take no part more: with steps left it leads nowhere
        last = np.where(spent, np.minimum(last, 0), last)
        repeats = np.where(spent & (left > 0), 0, np.maximum(last - first + 1, 0))
        starts = np.repeat(np.cumsum(repeats) - repeats, repeats)
        taken = np.repeat(first, repeats) + np.arange(repeats.sum()) - starts
        used = np.repeat(used, repeats) + (taken > 0)
        keep = used <= bounds.most_used
        came = np.repeat(np.arange(len(rows)), repeats)[keep]
        taken, used = taken[keep], used[keep]
        rows = np.column_stack([rows[came], taken.astype(np.int16)])
        left = left[came] - taken
    return rows[inside(rows, bounds)].astype(np.int16)


def inside(rows: Rows, bounds: Bounds) -> NDArray[np.bool_]:
    """Which rows keep the bounds of parts and groups; shape (rows,)."""
    ok = np.all((rows >= np.array(bounds.low)) & (rows <= np.array(bounds.high)), axis=1)
    ok &= (rows > 0).sum(axis=1) <= bounds.most_used
    for members, low, high in bounds.groups:
        total = rows[:, list(members)].sum(axis=1)
        ok &= (total >= low) & (total <= high)
    return np.asarray(ok)


def around(rows: Rows, reach: int, bounds: Bounds) -> Rows:
    """Every way within `reach` steps of one of the rows in every part that row uses, once each; no part is taken up."""
    boxes = [listed(int(row.sum()), _box(row, reach, bounds)) for row in rows]
    return np.unique(np.concatenate(boxes), axis=0) if boxes else rows


def _box(row: NDArray[np.int16], reach: int, bounds: Bounds) -> Bounds:
    near: Sequence[int] = [int(x) for x in row]
    low = tuple(max(least, x - reach) for least, x in zip(bounds.low, near, strict=True))
    high = tuple(min(most, x + reach if x else 0) for most, x in zip(bounds.high, near, strict=True))
    high = tuple(max(a, b) for a, b in zip(low, high, strict=True))
    return Bounds(low, high, bounds.groups, bounds.most_used)
