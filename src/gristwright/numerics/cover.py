"""The cheapest choice of things that are enough together: branch and bound over SciPy's linear programme."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from gristwright.basics import BoolArray, FloatArray

# A part of a thing below this is none.
WHOLE = 1e-7
# Pairs to put in place of a pair are looked for among so many things at most.
MOST_EXCHANGED = 500
MOST_PAIRS_OUT = 30


@dataclass(frozen=True)
class _Node:
    """Things divided at the optimum between bounds: what each is taken of, and what turning it costs at least."""

    least: float
    part: FloatArray
    turning: FloatArray
    low: FloatArray
    high: FloatArray


@dataclass
class _Search:
    """What is looked for, the best choice so far, and how many linear programmes it has taken."""

    cost: FloatArray
    brings: FloatArray
    needed: FloatArray
    gap: float
    least: float = float("inf")
    choice: BoolArray | None = None
    solved: int = 0

    @property
    def beaten(self) -> float:
        """A bound at or above this betters the best choice by less than the gap."""
        return self.least * (1.0 - self.gap)

    def relaxed(self, low: FloatArray, high: FloatArray) -> _Node | None:
        """The optimum when things may be divided, between the bounds; None when even then they are not enough."""
        from scipy.optimize import linprog

        self.solved += 1
        free = high > low
        still = self.needed - self.brings @ low
        if not free.any():
            return _Node(float(self.cost @ low), low, low, low, high) if np.all(still <= 0.0) else None
        found = linprog(self.cost[free], -self.brings[:, free], -still, bounds=(0.0, 1.0), method="highs-ds")
        if found.fun is None or found.status != 0:
            return None
        part, turning = low.copy(), np.zeros_like(low)
        part[free], turning[free] = found.x, found.lower.marginals + found.upper.marginals
        return _Node(float(found.fun) + float(self.cost @ low), part, turning, low, high)

    def enough(self, taken: BoolArray) -> bool:
        """Whether these things bring what is needed."""
        return bool(np.all(self.brings[:, taken].sum(axis=1) >= self.needed))

    def keep(self, taken: BoolArray) -> bool:
        """Leave out again what is not needed, dearest first, and keep the choice if it is the cheapest so far."""
        if not self.enough(taken):
            return False
        for one in np.flatnonzero(taken)[np.argsort(-self.cost[taken], kind="stable")]:
            taken[one] = False
            if not self.enough(taken):
                taken[one] = True
        cost = float(self.cost[taken].sum())
        if cost < self.least:
            self.least, self.choice = cost, taken
            return True
        return False

    def exchange(self, node: _Node) -> None:
        """Put a better pair in place of each pair of the best choice, until none is better."""
        better = self.choice is not None
        while better and self.choice is not None:
            better = any(self.keep(taken) for taken in self._exchanged(self.choice, node))

    def _exchanged(self, choice: BoolArray, node: _Node) -> Iterator[BoolArray]:
        near = np.argsort(np.abs(node.turning), kind="stable")
        for pair in itertools.islice(itertools.combinations([i for i in near if choice[i]], 2), MOST_PAIRS_OUT):
            rest = choice.copy()
            rest[list(pair)] = False
            among = near[~rest[near]][:MOST_EXCHANGED]
            still = self.needed - self.brings[:, rest].sum(axis=1)
            one, other = np.triu_indices(len(among))
            brought = self.brings[:, among]
            # A thing with itself stands for one thing alone.
            twice = one != other
            cost = self.cost[among][one] + twice * self.cost[among][other]
            fit = np.all(brought[:, one] + twice * brought[:, other] >= still[:, None], axis=0)
            if not fit.any():
                continue
            best = int(np.argmin(np.where(fit, cost, np.inf)))
            rest[among[[one[best], other[best]]]] = True
            if self.cost[rest].sum() < self.least:
                yield rest

    def settled(self, node: _Node) -> tuple[FloatArray, FloatArray]:
        """The node's bounds without the things whose turning would cost more than is left to gain."""
        room = self.beaten - node.least
        return np.where(node.turning < -room, 1.0, node.low), np.where(node.turning > room, 0.0, node.high)


def cheapest_cover(cost: FloatArray, brings: FloatArray, needed: FloatArray, gap: float, most: int) -> BoolArray | None:
    """Which things to take whole so that `brings` (needs, things) adds up to `needed` (needs,), at the least `cost`.

    Within `gap` of the least [share of it], or the best after `most` linear programmes; None when all are not enough.
    Always the same choice for the same figures.
    """
    search, order = _Search(cost, brings, needed, gap), itertools.count()
    first = search.relaxed(np.zeros(len(cost)), np.ones(len(cost)))
    waiting = [] if first is None else [(first.least, next(order), first)]
    while waiting and search.solved < most:
        bound, _, node = heapq.heappop(waiting)
        if bound >= search.beaten:
            break
        if search.keep(node.part > WHOLE) | search.keep(node.part > 0.5):
            search.exchange(node)
        divided = np.abs(node.part - np.round(node.part))
        one = int(np.argmax(divided))
        if divided[one] <= WHOLE:
            continue
        low, high = search.settled(node)
        for side in (1.0, 0.0):
            branch = low.copy(), high.copy()
            branch[0][one] = branch[1][one] = side
            inner = search.relaxed(*branch)
            if inner is not None and inner.least < search.beaten:
                heapq.heappush(waiting, (inner.least, next(order), inner))
    return search.choice
