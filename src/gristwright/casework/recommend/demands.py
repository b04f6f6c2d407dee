"""What an enquiry demands of a bill, each demand one bit in a mask of failures over all bills. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from itertools import combinations
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import BoolArray, FloatArray
from gristwright.casework.bench import whisky
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.recommend.work import Limit, Work, work_of
from gristwright.quantities.shown import fewest_decimals
from gristwright.records.bill import WHOLE
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import Relaxation, Unmet
from gristwright.records.said import Amount, Name, Said, said
from gristwright.records.streams import Grist
from gristwright.rules import law
from gristwright.stages.grist.board_floors import at
from gristwright.stages.grist.boards import floors
from gristwright.stages.grist.model import short_of_enzyme

Masks = NDArray[np.uint64]
# So many bills are followed at once: each takes about 4 kB on its way.
BLOCK = 50_000


@dataclass(frozen=True)
class Reference:
    """The grid's bills on the reference run; arrays (bills,)."""

    parts: NDArray[np.int64]
    gain: FloatArray  # what the work wants much of
    cost: FloatArray  # and little of
    spare: FloatArray  # enzyme over its floor, the worse of the two measures
    tightness: FloatArray  # 0 with half as much enzyme again as the floor, 1 at the floor
    values: Mapping[str, FloatArray]  # by the keys of figures
    grist: Grist


@dataclass(frozen=True)
class Demand:
    """One demand in words and as `Said`, which bills fail it, how far each falls short, and how to say that.

    A demand of the customer's ranges alone is `of_ranges`; one that a board judges better by the mash is `screened`.
    """

    words: str
    fails: BoolArray
    short: FloatArray
    say: Callable[[float], str]
    said: Said
    unit: str = ""
    of_ranges: bool = False
    screened: bool = False

    def unmet(self, row: int) -> Unmet:
        """That a bill fails it."""
        by = float(self.short[row])
        return Unmet(self.words, self.say(by), self.said, Amount(by, self.unit, decimals_of(by)))


def decimals_of(value: float) -> int:
    """Decimals that show three digits of a number, none where it is large."""
    return 0 if abs(value) >= 100.0 else 1 if abs(value) >= 10.0 else 2


def reference_run(bench: GristBench, enquiry: Enquiry, parts: NDArray[np.int64]) -> Reference:
    """Every bill of the grid on the reference run."""
    work = work_of(enquiry)
    blocks = [parts[k : k + BLOCK] for k in range(0, len(parts), BLOCK)] or [parts]
    values, grist = _joined([_followed(bench, work, block) for block in blocks])
    row = floors(bench.plant.grain_cooked, bench.plant.wort_boiled, bench.plant.washbacks.hours)
    spare = np.minimum(
        grist.diastatic_power_degLintner / float(row["red_below_degLintner"]),
        grist.dextrinising_units / float(row["red_below_DU"]),
    )
    tightness = np.clip(1.0 - (spare - 1.0) / 0.5, 0.0, 1.0)
    return Reference(parts, values[work.gain.key], values[work.cost.key], spare, tightness, values, grist)


Followed: TypeAlias = tuple[Mapping[str, FloatArray], Grist]


def _followed(bench: GristBench, work: Work, parts: NDArray[np.int64]) -> Followed:
    """Figures and grist of some bills on the reference run; the rest of what was made is let go."""
    made = work.follow(bench, parts / WHOLE, bench.middles, None)
    return work.values(made), made.grist


def _joined(blocks: list[Followed]) -> Followed:
    """Figures and grist of all blocks in their order; what has one value for all bills keeps it."""
    values, grist = blocks[0]
    if len(blocks) == 1:
        return values, grist
    names = [column.name for column in fields(Grist)]
    whole = {name: _end_to_end([getattr(one, name) for _, one in blocks]) for name in names}
    return {key: _end_to_end([one[key] for one, _ in blocks]) for key in values}, Grist(**whole)


def _end_to_end(pieces: list[FloatArray]) -> FloatArray:
    return pieces[0] if all(len(piece) == 1 for piece in pieces) else np.concatenate(pieces)


def demands(bench: GristBench, enquiry: Enquiry, ref: Reference) -> list[Demand]:
    """Every demand of the enquiry, in the order in which a person would give way on them last to first."""
    return [
        *_law_demands(bench, enquiry, ref),
        _enzyme_demand(bench, ref),
        *_limit_demands(enquiry, ref),
        *_range_demands(bench, enquiry, ref),
        *_husk_demand(bench, ref),
    ]


def _law_demands(bench: GristBench, enquiry: Enquiry, ref: Reference) -> list[Demand]:
    traits = whisky.traits(bench.lots, [0] * len(bench.lots), [None] * len(bench.lots))
    meets = law.screen(enquiry.categories, ref.parts, traits, enquiry.date)
    titles = {key: title for key, title, _ in law.categories()}
    return [
        Demand(
            f"may be called {titles[key]}",
            ~ok,
            (~ok).astype(np.float64),
            lambda _: "giving up the name",
            said("demand.name", category=Name("category", key)),
        )
        for key, ok in meets.items()
    ]


def _enzyme_demand(bench: GristBench, ref: Reference) -> Demand:
    row = floors(bench.plant.grain_cooked, bench.plant.wort_boiled, bench.plant.washbacks.hours)
    least_power, least_units = float(row["red_below_degLintner"]), float(row["red_below_DU"])
    grist = ref.grist
    fails = short_of_enzyme(grist, least_power, least_units)
    # The worse decides: how much of its floor each lacks, in per cent.
    power = 1.0 - grist.diastatic_power_degLintner / least_power
    units = 1.0 - grist.dextrinising_units / least_units
    short = 100.0 * np.maximum(np.maximum(power, units), 0.0)
    return Demand(
        "converts by its own enzymes",
        fails,
        short,
        lambda x: f"{x:.0f} % of the least enzyme",
        said("demand.enzymes"),
        "%",
        screened=True,
    )


def _limit_demands(enquiry: Enquiry, ref: Reference) -> list[Demand]:
    return [_limit(limit, ref.values[limit.key]) for limit in work_of(enquiry).limits]


def _limit(limit: Limit, values: FloatArray) -> Demand:
    what = Name("figure", limit.key)
    bound = Amount(limit.bound, limit.unit, fewest_decimals(limit.bound, 4))
    if limit.least:
        return _at_least(limit.words, values, limit.bound, limit.unit, said("demand.least", what=what, bound=bound))
    return _at_most(limit.words, values, limit.bound, limit.unit, said("demand.most", what=what, bound=bound))


def _range_demands(bench: GristBench, enquiry: Enquiry, ref: Reference) -> list[Demand]:
    index = {belief.lot.lot_id: k for k, belief in enumerate(bench.lots)}
    demands = []
    for offered in enquiry.offered:
        demands += _range(offered.lot_id, ref.parts[:, index[offered.lot_id]], offered.least_parts, offered.most_parts)
    for group in enquiry.groups:
        total = ref.parts[:, [index[lot] for lot in group.lot_ids]].sum(axis=1)
        demands += _range(group.name, total, group.least_parts, group.most_parts)
    # A lot of the present bill that is not on offer any more may not be used.
    on_offer = {offered.lot_id for offered in enquiry.offered}
    for lot_id in sorted(set(index) - on_offer):
        demands += _range(lot_id, ref.parts[:, index[lot_id]], 0, 0)
    return demands


def _husk_demand(bench: GristBench, ref: Reference) -> list[Demand]:
    """No more husks than a bed has a use for, where husks are among the lots."""
    husks = [k for k, belief in enumerate(bench.lots) if belief.material.husk]
    most = round(WHOLE * at("husk_most"))
    return _range("of husks", ref.parts[:, husks].sum(axis=1), 0, most) if husks else []


def _range(name: str, parts: NDArray[np.int64], least: int, most: int) -> list[Demand]:
    demands = []
    share = parts / 100.0
    if least > 0:
        words, bound = f"at least {least / 100:g} % {name}", _percent(least)
        say = said("demand.lot_least", lot=name, bound=bound)
        demands.append(_at_least(words, share, least / 100.0, "points", say, of_ranges=True))
    if most < WHOLE:
        words, bound = f"at most {most / 100:g} % {name}" if most else f"no {name}", _percent(most)
        say = said("demand.lot_most", lot=name, bound=bound) if most else said("demand.lot_none", lot=name)
        demands.append(_at_most(words, share, most / 100.0, "points", say, of_ranges=True))
    return demands


def _percent(parts: int) -> Amount:
    return Amount(parts / 100.0, "%", fewest_decimals(parts / 100.0))


def _at_least(words: str, values: FloatArray, least: float, unit: str, say: Said, of_ranges: bool = False) -> Demand:
    short = np.maximum(least - values, 0.0)
    return Demand(words, short > 1e-9, short, lambda x: f"{x:.3g} {unit}", say, unit, of_ranges)


def _at_most(words: str, values: FloatArray, most: float, unit: str, say: Said, of_ranges: bool = False) -> Demand:
    over = np.maximum(values - most, 0.0)
    return Demand(words, over > 1e-9, over, lambda x: f"{x:.3g} {unit}", say, unit, of_ranges)


def fail_masks(asked: list[Demand]) -> Masks:
    """One bit for each demand, set where a bill fails it; shape (bills,)."""
    masks = np.zeros(len(asked[0].fails), dtype=np.uint64)
    for bit, demand in enumerate(asked):
        masks |= demand.fails.astype(np.uint64) << np.uint64(bit)
    return masks


def smallest_conflict(masks: Masks, count: int) -> tuple[int, ...]:
    """The smallest set of demands that no bill meets together; empty when some bill meets all.

    Every bill fails one of the set: a smallest hitting set of the masks, searched by growing size.
    """
    unique = np.unique(masks)
    if np.any(unique == 0):
        return ()
    for size in range(1, count + 1):
        for chosen in combinations(range(count), size):
            asked = np.uint64(sum(1 << bit for bit in chosen))
            if np.all(unique & asked):
                return chosen
    return tuple(range(count))


def relaxations(
    asked: list[Demand],
    masks: Masks,
    conflict: tuple[int, ...],
    ref: Reference,
    work: Work,
    withheld: Callable[[int], str],
) -> tuple[Relaxation, ...]:
    """For each demand of the conflict: the nearest bill that fails it alone, how far, and what that bill would give.

    `withheld` says of a row of the grid why its figures are not given, nothing where they are.
    """
    return tuple(
        Relaxation(asked[bit].words, _gives(asked, masks, bit, ref, work, withheld), asked[bit].said)
        for bit in conflict
    )


def _gives(
    asked: list[Demand], masks: Masks, bit: int, ref: Reference, work: Work, withheld: Callable[[int], str]
) -> str:
    alone = masks == np.uint64(1 << bit)
    if not np.any(alone):
        others = _in_the_way(masks, bit)
        return f"giving way on this alone opens no bill: {' and '.join(asked[k].words for k in others)} in the way too"
    rows = np.flatnonzero(alone)
    short = asked[bit].short[rows]
    nearest = rows[short <= short.min() + 1e-9]
    best = int(nearest[np.argmax(ref.gain[nearest])])
    because = withheld(best)
    told = work.tells(float(ref.gain[best]), float(ref.cost[best]))
    gives = f"{work.of_the_best}: {because}" if because else f"the best gives {told}"
    return (
        f"{_giving_way(asked[bit].say(float(asked[bit].short[best])))} opens {_bills(len(nearest))}; "
        f"{gives} ({_bills(len(rows))} if it is dropped)"
    )


def _bills(count: int) -> str:
    return f"{count} bill{'s' if count > 1 else ''}"


def _giving_way(said: str) -> str:
    return said if said.startswith("giving up") else f"giving way by {said}"


def _in_the_way(masks: Masks, bit: int) -> list[int]:
    """The fewest other demands that stand in the way when one is given up."""
    failing = np.unique(masks[(masks & np.uint64(1 << bit)) != 0])
    others = min((int(mask) & ~(1 << bit) for mask in failing), key=lambda mask: (mask.bit_count(), mask), default=0)
    return [k for k in range(64) if others >> k & 1]
