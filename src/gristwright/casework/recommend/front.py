"""Among many allowed bills, which no other with the same special malts beats. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import BoolArray, FloatArray
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.recommend.demands import Masks, Reference
from gristwright.casework.recommend.work import Work, work_of
from gristwright.numerics.dominance import not_dominated
from gristwright.records.bill import WHOLE, Share
from gristwright.records.enquiry import Enquiry
from gristwright.stages.grist.board_floors import at
from gristwright.stages.mash.boards import RED_LEFT_PCT

# What a person would call different: a probability.
RISK_STEP = 0.05
# So many bills of one set of special malts are compared on every draw.
MOST_COMPARED = 8
# Tightness of the enzymes up to which the simplest bill is looked for, from plenty to the floor.
ENOUGH_TO_SPARE = (0.0, 0.25, 0.5, 0.75, 1.0)


# Of each set and degree so many of the cheapest are mashed, and so many of those with each number of lots.
MASHED, MASHED_ALIKE = 24, 8
# Whether a bill may come out cheapest after mashing: the balance puts none that does further off than this share of
# the cheapest litre. Tested on small grids and against neighbours of the offers.
MASH_MARGIN = 0.02
# The draws put the middle of what a mash leaves within so much of the reference run: bills up to ABOUT times the most
# are compared, and the cheapest of those that leave no more than these parts of it.
ABOUT, CONVERTED = 1.1, (0.8, 0.9, 1.0)
# Rungs of the ladder on which the least enzyme is sought that a mash converts with, and how often it is made finer.
RUNGS, LADDERS = 24, 2


@dataclass(frozen=True)
class Allowed:
    """Bills that meet every demand, on the reference run; arrays (bills,)."""

    parts: NDArray[np.int64]  # (bills, lots) in 0.01 %
    gain: FloatArray
    cost: FloatArray
    tightness: FloatArray  # 0 with enzyme to spare, 1 at the floor
    spare: FloatArray  # enzyme over its floor
    held_back_pct: FloatArray  # starch left for want of enzyme; zero before it is simulated
    looked_at: int

    @classmethod
    def of(cls, ref: Reference, masks: Masks, looked_at: int) -> Allowed:
        """The bills whose mask is empty."""
        nothing = np.zeros(len(masks))
        every = cls(ref.parts, ref.gain, ref.cost, ref.tightness, ref.spare, nothing, looked_at)
        return every.of_rows(masks == 0)

    def of_rows(self, rows: NDArray[np.int64] | BoolArray) -> Allowed:
        """Some of the bills."""
        names = ("parts", "gain", "cost", "tightness", "spare", "held_back_pct")
        return replace(self, **{name: getattr(self, name)[rows] for name in names})


@dataclass(frozen=True)
class Front:
    """The allowed bills sorted by their set of special malts.

    Special malt is bought for character, so which and how much is the customer's choice and never an objective: a
    bill is beaten only by one with the same special malts.
    """

    bills: Allowed
    kinds: NDArray[np.int64]  # (sets, special lots) in 0.01 %
    kind_of: NDArray[np.int64]  # (bills,)
    names: tuple[str, ...]
    work: Work

    @classmethod
    def of(cls, bench: GristBench, enquiry: Enquiry, bills: Allowed) -> Front:
        """The allowed bills without the present one."""
        present, wanted = enquiry.present, for_character(bench, enquiry)
        now = np.array([present.parts_of(belief.lot.lot_id) for belief in bench.lots])
        other = np.any(bills.parts != now, axis=1)
        kept = bills.of_rows(other)
        special = np.array([belief.lot.lot_id in wanted for belief in bench.lots])
        names = tuple(belief.lot.lot_id for belief in bench.lots if belief.lot.lot_id in wanted)
        kinds, kind_of = np.unique(kept.parts[:, special], axis=0, return_inverse=True)
        return cls(kept, kinds, kind_of.reshape(-1), names, work_of(enquiry))

    def sets(self) -> list[tuple[Share, ...]]:
        """The sets of special malts: fewest malts first, then by their total share."""
        sets = [self._shares(kind) for kind in self.kinds] if len(self.bills.parts) else []
        return sorted(sets, key=lambda s: (len(s), sum(x.parts for x in s), tuple((x.lot_id, x.parts) for x in s)))

    def _shares(self, kind: NDArray[np.int64]) -> tuple[Share, ...]:
        return tuple(Share(name, int(parts)) for name, parts in zip(self.names, kind, strict=True) if parts)

    def rows(self, special: tuple[Share, ...]) -> NDArray[np.int64]:
        """Where the bills with these special malts stand."""
        wanted = np.array([sum(s.parts for s in special if s.lot_id == name) for name in self.names])
        kind = np.flatnonzero(np.all(self.kinds == wanted, axis=1))
        return np.flatnonzero(self.kind_of == kind[0])

    def count(self, special: tuple[Share, ...]) -> int:
        """How many allowed bills have these special malts."""
        return len(self.rows(special))

    @property
    def size(self) -> int:
        """How many bills no other with the same special malts beats."""
        return sum(int(self.unbeaten(np.flatnonzero(self.kind_of == kind)).sum()) for kind in range(len(self.kinds)))

    def unbeaten(self, rows: NDArray[np.int64]) -> BoolArray:
        """Which of these bills no other of them beats in cost, litres and enzyme to spare."""
        cost, litres = self.bills.cost[rows], self.bills.gain[rows]
        tight = np.round(self.bills.tightness[rows] / 0.05)
        kept = np.zeros(len(rows), dtype=np.bool_)
        for level in np.unique(tight):
            here = np.flatnonzero(tight == level)
            kept[here] = _cheaper_or_richer(cost[here], litres[here])
        left = np.flatnonzero(kept)
        if len(np.unique(tight[left])) > 1:
            table = np.column_stack([cost[left], -litres[left], tight[left]])
            kept[left] = not_dominated(table)
        return kept

    def near(self, special: tuple[Share, ...]) -> NDArray[np.int64]:
        """Where the bills of one set stand that may come out best once they are mashed: near the cheapest litre."""
        rows = self.rows(special)
        cost, tight = self.bills.cost[rows], self.bills.tightness[rows]
        lots = (self.bills.parts[rows] > 0).sum(axis=1)
        indices: list[int] = []
        for level in ENOUGH_TO_SPARE:
            safe = np.flatnonzero(tight <= level + 1e-9)
            if not len(safe):
                continue
            safe = safe[cost[safe] <= (1.0 + MASH_MARGIN) * cost[safe].min() + self.work.cost.step]
            safe = safe[np.argsort(cost[safe], kind="stable")]
            indices += safe[:MASHED].tolist()
            for count in np.unique(lots[safe]):
                indices += safe[lots[safe] == count][:MASHED_ALIKE].tolist()
        along = np.flatnonzero(self.unbeaten(rows))
        indices += along[np.unique(np.linspace(0, len(along) - 1, MASHED).astype(int))].tolist()
        return np.asarray(rows[np.unique(indices)])

    def mashed(self, bench: GristBench, sets: Sequence[tuple[Share, ...]]) -> Front:
        """The bills of these sets near the cheapest litre, their litres and cost after the simulated reference mash.

        A bill that leaves starch in it goes, unless every bill of its set does.
        """
        if not sets:
            return self
        rows = np.concatenate([self.near(special) for special in sets])
        effect = bench.mash_ahead(self.bills.parts[rows] / WHOLE)
        short = set(self.kind_of[rows][effect.mash.held_back_pct > at("held_back_red")])
        more = [self.converting(bench, one) for one in sets if self.kind_of[self.rows(one)[0]] in short]
        if more:
            rows = np.unique(np.concatenate([rows, *more]))
            effect = bench.mash_ahead(self.bills.parts[rows] / WHOLE)
        left = (effect.mash.starch_left_pct > RED_LEFT_PCT) | (effect.mash.held_back_pct > ABOUT * at("held_back_red"))
        sound = ~left | np.isin(self.kind_of[rows], list(set(self.kind_of[rows]) - set(self.kind_of[rows][~left])))
        rows, factor = rows[sound], self.work.shifted(bench, effect)[sound]
        bills = self.bills.of_rows(rows)
        bills = replace(
            bills,
            gain=bills.gain * factor,
            cost=bills.cost / factor,
            held_back_pct=effect.mash.held_back_pct[sound],
        )
        return replace(self, bills=bills, kind_of=self.kind_of[rows])

    def converting(self, bench: GristBench, special: tuple[Share, ...]) -> NDArray[np.int64]:
        """Where the cheapest bills of one set stand that their mash converts; none where no bill's mash does.

        The less enzyme a bill has to spare, the cheaper it is and the more starch it leaves: where that turns is sought
        on a ladder of degrees, and again between the two rungs.
        """
        rows = self.rows(special)
        spare, cost = self.bills.spare[rows], self.bills.cost[rows]
        low, high = float(spare.min()), float(spare.max())
        for _ in range(LADDERS):
            rungs = np.linspace(low, high, RUNGS)
            left = bench.mash_ahead(self.bills.parts[rows[_cheapest(spare, cost, rungs)]] / WHOLE).mash.held_back_pct
            good = np.flatnonzero(left <= at("held_back_red"))
            if not len(good):
                return np.array([], dtype=np.int64)
            low, high = float(rungs[max(good[0] - 1, 0)]), float(rungs[good[0]])
        enough = np.flatnonzero(spare >= low - 1e-9)
        return np.asarray(rows[enough[np.argsort(cost[enough], kind="stable")][:MASHED]])

    def best_of(self, special: tuple[Share, ...]) -> list[NDArray[np.int64]]:
        """The bills of one set worth comparing on every draw, shape (lots,) each.

        For each degree of enzyme to spare the simplest within a step of the cheapest litre; and some of the front.
        """
        rows = self.rows(special)
        cost, litres, tight = (values[rows] for values in (self.bills.cost, self.bills.gain, self.bills.tightness))
        lots = (self.bills.parts[rows] > 0).sum(axis=1)
        picked = []
        levels = [tight <= level + 1e-9 for level in ENOUGH_TO_SPARE]
        levels += [self.bills.held_back_pct[rows] <= part * at("held_back_red") for part in CONVERTED]
        for level in levels:
            safe = np.flatnonzero(level)
            if len(safe):
                near = safe[cost[safe] <= cost[safe].min() + self.work.cost.step]
                picked.append(int(near[np.lexsort((cost[near], -litres[near], lots[near]))[0]]))
        front = np.flatnonzero(self.unbeaten(rows))
        front = front[np.argsort(cost[front], kind="stable")]
        along = front[np.unique(np.linspace(0, len(front) - 1, MOST_COMPARED // 2).astype(int))]
        return [self.bills.parts[rows[k]] for k in dict.fromkeys([*picked, *along.tolist()])]


def for_character(bench: GristBench, enquiry: Enquiry) -> set[str]:
    """The lots bought for character: those the customer marks so, else those whose type usually is.

    A brewer demands a colour as a number, so of his malts only those he marks.
    """
    marked = {offered.lot_id: offered.for_character for offered in enquiry.offered}
    usual = {belief.lot.lot_id: belief.material.specialty and not enquiry.brews for belief in bench.lots}
    chosen = {lot_id: usual[lot_id] if marked.get(lot_id) is None else marked[lot_id] for lot_id in usual}
    return {lot_id for lot_id, special in chosen.items() if special}


def _cheaper_or_richer(cost: FloatArray, litres: FloatArray) -> BoolArray:
    """True where no other is as cheap and as rich and better in one; (bills,)."""
    order = np.lexsort((-litres, cost))
    best = np.maximum.accumulate(np.concatenate([[-np.inf], litres[order][:-1]]))
    kept = np.zeros(len(cost), dtype=np.bool_)
    kept[order] = litres[order] > best + 1e-12
    return kept


def _cheapest(spare: FloatArray, cost: FloatArray, rungs: FloatArray) -> NDArray[np.int64]:
    """The cheapest of the bills with so much enzyme to spare or more, for each rung; arrays (bills,) and (rungs,)."""
    dear = np.where(spare >= rungs[:, None] - 1e-9, cost, np.inf)
    return np.asarray(np.argmin(dear, axis=1))
