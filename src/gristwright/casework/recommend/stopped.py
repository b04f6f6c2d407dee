"""Where no bill can be offered: which are held against the boards, what stops them, which are shown.

See docs/casework.md.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from gristwright.casework.recommend.front import Front
from gristwright.records.results import Board, Stopped

# So many bills at most are held against the boards before it is said that none can be offered.
MOST_JUDGED = 200
MOST_SHOWN = 4


def to_judge(front: Front, shown: Sequence[NDArray[np.int64]]) -> list[NDArray[np.int64]]:
    """The allowed bills, (lots,) each: all of them, or so many spread evenly over them and those `shown`."""
    rows = front.bills.parts
    if len(rows) > MOST_JUDGED:
        rows = rows[np.unique(np.linspace(0, len(rows) - 1, MOST_JUDGED).astype(int))]
    every = np.concatenate([rows, np.array(shown).reshape(-1, rows.shape[1])])
    return list(np.unique(every, axis=0))


def ends(front: Front, lots: Sequence[str]) -> list[NDArray[np.int64]]:
    """The allowed bills with least and with most of each lot bought for character, of every lot where none is.

    Of bills with the same share the cheapest. Rows are (lots,); a lot whose share does not vary has no ends.
    """
    bills = front.bills
    wanted = [k for k, lot in enumerate(lots) if lot in front.names] or list(range(len(lots)))
    bills_at_ends: list[NDArray[np.int64]] = []
    for k in wanted:
        share = bills.parts[:, k]
        if not len(share) or share.min() == share.max():
            continue
        for end in (share.min(), share.max()):
            rows = np.flatnonzero(share == end)
            bills_at_ends.append(bills.parts[rows[np.argmin(bills.cost[rows])]])
    if not bills_at_ends and len(bills.parts):
        bills_at_ends = [bills.parts[np.argmin(bills.cost)]]
    once = {row.tobytes(): row for row in bills_at_ends}
    return list(once.values())[:MOST_SHOWN]


def by_board(judged: Sequence[tuple[str, Board, float]], most_risk: Callable[[str], float]) -> tuple[Stopped, ...]:
    """What stops the bills: their worst boards, (name, board, strain) each, the one that stops most of them first."""
    held: dict[str, list[tuple[str, Board, float]]] = {}
    for one in judged:
        held.setdefault(one[1].key, []).append(one)
    stopped = []
    for key, group in held.items():
        name, board, _ = min(group, key=lambda one: (one[2], one[0]))
        stopped.append(Stopped(len(group), name, board, most_risk(key)))
    return tuple(sorted(stopped, key=lambda stop: (-stop.bills, stop.board.title)))
