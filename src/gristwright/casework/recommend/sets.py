"""Sets of special malts: which of many are compared, and how they sort. See docs/casework.md."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gristwright.casework.bench.bench import GristBench
from gristwright.records.bill import WHOLE, Share, shares_named


def spread(sets: list[tuple[Share, ...]], most: int) -> list[tuple[Share, ...]]:
    """At most so many sets: those with fewest special malts, the least of each malt first, then the most, then between.

    `sets` come in the order of their total share.
    """
    if len(sets) <= most:
        return sets
    none = [special for special in sets if not special]
    fewest = min(len(special) for special in sets if special)
    by_malts: dict[tuple[str, ...], list[tuple[Share, ...]]] = {}
    for special in sets:
        if len(special) == fewest:
            by_malts.setdefault(tuple(share.lot_id for share in special), []).append(special)
    rounds = [[own[k] for own in by_malts.values()] for k in (0, -1)]
    rounds += [[own[len(own) * part // 4] for own in by_malts.values()] for part in (2, 1, 3)]
    wanted = list(dict.fromkeys([*none, *(special for one in rounds for special in one)]))
    return (wanted + [special for special in sets if special not in wanted])[:most]


def special_key(special: tuple[Share, ...]) -> tuple[tuple[str, int], ...]:
    """A set of special malts as something that sorts."""
    return tuple((share.lot_id, share.parts) for share in special)


def total_parts(special: tuple[Share, ...]) -> int:
    """The total share of a set of special malts [0.01 %]."""
    return sum(share.parts for share in special)


def in_steps(parts: NDArray[np.int64], step: int) -> NDArray[np.int16]:
    """Bills in whole steps, (bills, lots): what rounding down leaves goes to the shares cut down most."""
    steps = parts // step
    order = np.argsort(np.argsort(-(parts % step), axis=1, kind="stable"), axis=1, kind="stable")
    left = WHOLE // step - steps.sum(axis=1, keepdims=True)
    return np.asarray(steps + (order < left), dtype=np.int16)


def name_of(bench: GristBench, row: NDArray[np.int64]) -> str:
    """A bill's name out of its shares: largest first."""
    return shares_named(shares_of(bench, row))


def shares_of(bench: GristBench, row: NDArray[np.int64]) -> tuple[Share, ...]:
    """A bill as shares; a lot with none is left out."""
    return tuple(Share(b.lot.lot_id, int(part)) for part, b in zip(row, bench.lots, strict=True) if part)
