"""Find the bills: a declared grid, masks of failed demands, dominance on paired differences. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import Band, FloatArray, Refused, Tick
from gristwright.casework.bench.bench import GristBench
from gristwright.casework.bench.withheld import unsaid
from gristwright.casework.recommend import stopped
from gristwright.casework.recommend.asked import ends_of_ranges
from gristwright.casework.recommend.demands import (
    Demand,
    Masks,
    Reference,
    demands,
    fail_masks,
    reference_run,
    relaxations,
    smallest_conflict,
)
from gristwright.casework.recommend.front import MOST_COMPARED, RISK_STEP, Allowed, Front, for_character
from gristwright.casework.recommend.sets import in_steps, name_of, shares_of, special_key, spread, total_parts
from gristwright.casework.recommend.size import first_step, too_many
from gristwright.casework.recommend.stopped import MOST_SHOWN
from gristwright.casework.recommend.work import COST_STEP, LITRE_STEP, Made, most_risk, work_of
from gristwright.numerics.dominance import not_dominated
from gristwright.numerics.grid import Bounds, all_shares, around, count_bounded, listed
from gristwright.numerics.weights import band
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import Board, Search, Stopped

# A declared grid of so many bills is looked at whole; a larger one only around so many of the first grid's bills.
WHOLE_GRID, SEEDS = 400_000, 60
UNSOUND = 1.01  # strain of a bill whose figures are withheld, at the least
MOST_OFFERS = 5
# Draws on which a bill is judged that is only spoken of.
QUICK = 512
MOST_DOUBTED = 4  # bills stopped by a mash that is not their own, whose own is looked at


@dataclass(frozen=True)
class Candidate:
    """A bill nobody beats among those with the same special malts; differences have shape (members,)."""

    bill: Bill
    special: tuple[Share, ...]
    change_gain: FloatArray
    change_cost: FloatArray
    risk: float
    worst: str
    strain: float  # the worst board's probability over the most that is let pass
    allowed_alike: int = 1  # bills with the same special malts that meet every demand
    board: Board | None = None  # the worst
    withheld: bool = False  # its figures are
    steps: tuple[float, float] = (LITRE_STEP, COST_STEP)  # of gain and of cost that a person would call different


def find(bench: GristBench, enquiry: Enquiry, tick: Tick) -> tuple[list[Candidate], Search]:
    """The candidates worth offering, and how they were found. `tick` may raise to stop.

    A first grid over all lots, ranges among the demands, tells which demands stand against each other. Then the
    declared grid inside the ranges: whole when it is small, else only around the best bills of the first grid.
    """
    first = screened(bench, enquiry, first_grid(enquiry, len(bench.lots)), tick)
    allowed, how, fine = _declared(bench, enquiry, first, tick)
    front = Front.of(bench, enquiry, allowed)
    sets = spread(front.sets(), MOST_OFFERS)
    kept = _on_draws(bench, enquiry, front, sets, tick)
    chosen, kept = _mashed(bench, enquiry, kept, sets, tick)
    further = Further() if chosen else _further(bench, enquiry, front, tick)
    if further.sound:
        chosen, kept = _mashed(bench, enquiry, further.sound, front.sets(), tick)
    conflict = () if len(allowed.parts) else smallest_conflict(first.masks, len(first.asked))
    told = (enquiry.present, *enquiry.asked, *(candidate.bill for candidate in chosen))
    ends = ends_of_ranges(bench, enquiry, fine.ref, fine.asked, told)
    shown = tuple(dict.fromkeys((*(() if chosen else further.ends), *ends)))[:MOST_SHOWN]
    search = Search(
        step_pct=enquiry.grid_parts / 100.0,
        bills_on_grid=count_bounded(WHOLE // enquiry.grid_parts, ranges(bench, enquiry)),
        bills_evaluated=allowed.looked_at + (len(first.masks) if enquiry.grid_parts < first_step(enquiry) else 0),
        bills_allowed=len(allowed.parts),
        bills_not_beaten=front.size,
        failed_by_demand=tuple((demand.words, int(demand.fails.sum())) for demand in first.asked),
        conflict=relaxations(
            first.asked,
            first.masks,
            conflict,
            first.ref,
            work_of(enquiry),
            lambda row: _unsaid(bench, enquiry, first, row),
        ),
        how=how,
        left_out=_left_out(kept),
        cheaper=_cheaper(bench, enquiry, kept, chosen),
        stopped=() if chosen else further.stopped,
        judged=further.judged,
        ends=shown,
    )
    return chosen, search


@dataclass(frozen=True)
class Further:
    """What a look at every allowed bill found: bills that are sound after all, or what stops them."""

    sound: list[Candidate] = field(default_factory=list)
    stopped: tuple[Stopped, ...] = ()
    judged: int = 0
    ends: tuple[Bill, ...] = ()


def _further(bench: GristBench, enquiry: Enquiry, front: Front, tick: Tick) -> Further:
    """None of the cheapest bills is sound: the allowed ones are held against the boards, on a part of the draws.

    Those that are sound there are compared on all of them; where none is, those least stopped and the ends of the
    ranges, each with its own mash: today's mash moved by a ratio carries want of enzyme over to bills that have none.
    """
    shown = stopped.ends(front, [belief.lot.lot_id for belief in bench.lots])
    rows = stopped.to_judge(front, shown)
    if not rows:
        return Further()
    few = bench.first(QUICK)
    few.mash_ahead(np.array(rows) / WHOLE)
    work, judged = work_of(enquiry), []
    present = work.made(few, enquiry.present)
    for done, row in enumerate(rows):
        tick(done, len(rows), "holding every bill against the boards")
        bill = Bill(name_of(bench, row), shares_of(bench, row))
        judged.append(_candidate(few, enquiry, bill, work.near(few, bill, enquiry.present), present))
    sound = sorted((c for c in judged if c.strain <= 1.0), key=lambda c: float(c.change_cost.mean()))[:MOST_COMPARED]
    now = work.made(bench, enquiry.present)
    bills = tuple(Bill(name_of(bench, row), shares_of(bench, row)) for row in shown)
    least = (*bills, *(c.bill for c in sorted(judged, key=lambda c: c.strain)[:MOST_DOUBTED]))
    doubted = [] if sound else [c for c in judged if c.bill in least]
    full = [_candidate(bench, enquiry, c.bill, work.made(bench, c.bill), now) for c in (*sound, *doubted)]
    kept = [replace(c, allowed_alike=front.count(c.special)) for c in full if c.strain <= 1.0]
    whole = {c.bill: c for c in full}
    against = [whole.get(c.bill, c) for c in judged]
    said = [(c.bill.name, c.board, c.strain) for c in against if c.board and c.strain > 1.0]
    return Further(kept, stopped.by_board(said, most_risk), len(rows), bills)


def _unsaid(bench: GristBench, enquiry: Enquiry, first: Screened, row: int) -> str:
    """Why the figures of a screened bill are not given, on a part of the draws; nothing where they are."""
    parts = first.ref.parts[row]
    why = work_of(enquiry).why(bench.first(QUICK), Bill(name_of(bench, parts), shares_of(bench, parts)))
    return why.because if why else ""


@dataclass(frozen=True)
class Screened:
    """Bills of a grid on the reference run, every demand, and the mask of demands each fails."""

    ref: Reference
    asked: list[Demand]
    masks: Masks


def screened(bench: GristBench, enquiry: Enquiry, parts: NDArray[np.int64], tick: Tick) -> Screened:
    """Every bill of a grid against every demand."""
    tick(0, len(parts), "screening bills on the reference run")
    ref = reference_run(bench, enquiry, parts)
    asked = demands(bench, enquiry, ref)
    return Screened(ref, asked, fail_masks(asked))


def first_grid(enquiry: Enquiry, lots: int) -> NDArray[np.int64]:
    """Every bill of the first grid, shape (bills, lots) in 0.01 %. Raises Refused when there are too many."""
    problem = too_many(enquiry, lots)
    if problem:
        raise Refused([problem])
    step = first_step(enquiry)
    return all_shares(WHOLE // step, lots, enquiry.most_materials).astype(np.int64) * step


def ranges(bench: GristBench, enquiry: Enquiry) -> Bounds:
    """The customer's ranges on the declared grid."""
    index = {belief.lot.lot_id: k for k, belief in enumerate(bench.lots)}
    step = enquiry.grid_parts
    low, high = [0] * len(index), [0] * len(index)
    for offered in enquiry.offered:
        low[index[offered.lot_id]] = -(-offered.least_parts // step)
        high[index[offered.lot_id]] = offered.most_parts // step
    groups = tuple(
        (tuple(index[lot] for lot in group.lot_ids), -(-group.least_parts // step), group.most_parts // step)
        for group in enquiry.groups
    )
    return Bounds(tuple(low), tuple(high), groups, enquiry.most_materials)


def _declared(bench: GristBench, enquiry: Enquiry, first: Screened, tick: Tick) -> tuple[Allowed, str, Screened]:
    """The bills of the declared grid that meet every demand, how it was covered, and all that was looked at of it."""
    step = enquiry.grid_parts
    if step >= first_step(enquiry):
        how = f"The whole grid of {step / 100:g} % was looked at."
        return Allowed.of(first.ref, first.masks, len(first.masks)), how, first
    bounds = ranges(bench, enquiry)
    count = count_bounded(WHOLE // step, bounds)
    if count <= WHOLE_GRID:
        rows = listed(WHOLE // step, bounds)
        how = f"The whole grid of {step / 100:g} % inside the ranges was looked at."
    else:
        reach = -(-first_step(enquiry) // step) - 1
        rows = around(in_steps(seeds(bench, enquiry, first), step), reach, bounds)
        how = (
            f"A grid of {first_step(enquiry) / 100:g} % was looked at whole, then every bill in steps of "
            f"{step / 100:g} % within {reach * step / 100:g} points of its best and nearest bills."
        )
    fine = screened(bench, enquiry, rows.astype(np.int64) * step, tick)
    return Allowed.of(fine.ref, fine.masks, len(rows)), how, fine


def seeds(bench: GristBench, enquiry: Enquiry, first: Screened) -> NDArray[np.int64]:
    """Where the fine grid is worth looking, (seeds, lots): the present bill, the best allowed bills of every set of
    special malts on the first grid, and those that fall least short of the demands."""
    present = np.array([[enquiry.present.parts_of(belief.lot.lot_id) for belief in bench.lots]])
    front = Front.of(bench, enquiry, Allowed.of(first.ref, first.masks, 0))
    best = [row for special in front.sets()[:SEEDS] for row in front.best_of(special)[:: MOST_COMPARED // 2]]
    short = np.sum([demand.short / (demand.short.max() + 1e-12) for demand in first.asked], axis=0)
    near = np.argsort(np.where(first.masks == 0, np.inf, short), kind="stable")[:SEEDS]
    return np.unique(
        np.concatenate([present, np.array(best).reshape(-1, len(bench.lots)), first.ref.parts[near]]), axis=0
    )


def _on_draws(
    bench: GristBench, enquiry: Enquiry, front: Front, sets: list[tuple[Share, ...]], tick: Tick
) -> list[Candidate]:
    """The best of the chosen sets of special malts against the present bill, all on the same draws.

    They are mashed on the reference run; on the draws each has the present bill's mash moved by their ratio.
    """
    work, near = work_of(enquiry), front.mashed(bench, sets)
    present = work.made(bench, enquiry.present)
    rows = [(special, row) for special in sets for row in near.best_of(special)]
    candidates = []
    for done, (special, row) in enumerate(rows):
        tick(done, len(rows), "comparing the best bills with the present one on every draw")
        bill = Bill(name_of(bench, row), shares_of(bench, row))
        made = work.near(bench, bill, enquiry.present)
        candidates.append(replace(_candidate(bench, enquiry, bill, made, present), allowed_alike=front.count(special)))
    return candidates


def _mashed(
    bench: GristBench, enquiry: Enquiry, kept: list[Candidate], sets: list[tuple[Share, ...]], tick: Tick
) -> tuple[list[Candidate], list[Candidate]]:
    """The offers with their own mash simulated on every draw, chosen anew until the choice stands; and all kept."""
    known: dict[Bill, Candidate] = {}
    work = work_of(enquiry)
    present = work.made(bench, enquiry.present)
    while True:
        kept = [known.get(candidate.bill, candidate) for candidate in kept]
        chosen = choose(kept, sets, bench.weights)
        new = [candidate for candidate in chosen if candidate.bill not in known]
        if not new:
            return chosen, kept
        for done, candidate in enumerate(new):
            tick(done, len(new), "simulating the mash of the bills chosen")
            full = _candidate(bench, enquiry, candidate.bill, work.made(bench, candidate.bill), present)
            known[candidate.bill] = replace(full, allowed_alike=candidate.allowed_alike)


def _candidate(bench: GristBench, enquiry: Enquiry, bill: Bill, made: Made, present: Made) -> Candidate:
    work = work_of(enquiry)
    here, now = work.values(made), work.values(present)
    names = for_character(bench, enquiry)
    special = tuple(share for share in bill.shares if share.lot_id in names)
    worst = worst_board(bench, enquiry, bill, made)
    strain = worst.probability_red / most_risk(worst.key)
    withheld = work.why(bench, bill, made) is not None
    strain = max(strain, UNSOUND) if withheld else strain
    return Candidate(
        bill,
        special,
        here[work.gain.key] - now[work.gain.key],
        here[work.cost.key] - now[work.cost.key],
        worst.probability_red,
        worst.title,
        strain,
        board=worst,
        withheld=withheld,
        steps=(work.gain.step, work.cost.step),
    )


def compared(bench: GristBench, enquiry: Enquiry, bills: Sequence[Bill]) -> list[Candidate]:
    """Bills against the present one, each through its own mash on every draw."""
    work = work_of(enquiry)
    present = work.made(bench, enquiry.present)
    return [_candidate(bench, enquiry, bill, work.made(bench, bill), present) for bill in bills]


def worst_board(bench: GristBench, enquiry: Enquiry, bill: Bill, made: Made) -> Board:
    """The board of a bill that speaks most against it: each probability over the most that is let pass.

    Law was screened before.
    """
    work = work_of(enquiry)
    boards = unsaid(work.boards(bench, bill, made), work.why(bench, bill, made))
    return max(boards, key=lambda board: board.probability_red / most_risk(board.key))


def _objectives(candidate: Candidate, weights: FloatArray) -> tuple[float, float, float]:
    """Smaller is better: cost change, litres given up, risk."""
    litres, money = band(candidate.change_gain, weights), band(candidate.change_cost, weights)
    return round(money.middle, 5), round(-litres.middle, 4), round(candidate.risk, 4)


def _left_out(candidates: list[Candidate]) -> tuple[str, ...]:
    """The best bill of each set of special malts of which none is sound, and the board that speaks against it."""
    sound = {candidate.special for candidate in candidates if candidate.strain <= 1.0}
    safest: dict[tuple[Share, ...], Candidate] = {}
    for candidate in sorted(candidates, key=lambda c: (round(c.strain, 2), float(c.change_cost.mean()))):
        if candidate.special not in sound:
            safest.setdefault(candidate.special, candidate)
    return tuple(
        f"{c.bill.name}: {c.worst[:1].lower()}{c.worst[1:]} would be out of order in {100 * c.risk:.0f} % of the runs"
        for c in safest.values()
    )


def _cheaper(bench: GristBench, enquiry: Enquiry, kept: list[Candidate], chosen: list[Candidate]) -> str:
    """Of the bills that are cheaper than the offer with the same special malts and of which the figures are withheld
    the one nearest to it, and why; nothing where there is none."""
    for offer in chosen:
        rivals = [c for c in kept if c.withheld and c.special == offer.special]
        cheaper = [c for c in rivals if float(c.change_cost.mean()) < float(offer.change_cost.mean())]
        for near in sorted(cheaper, key=lambda c: -float(c.change_cost.mean()))[:1]:
            why = work_of(enquiry).why(bench, near.bill)
            return f"{near.bill.name}: {why.because}" if why else ""
    return ""


def choose(candidates: list[Candidate], sets: list[tuple[Share, ...]], weights: FloatArray) -> list[Candidate]:
    """Up to five offers: the best of each set of special malts, then the runners-up nobody beats.

    A candidate that cannot be told from one already chosen with the same special malts is the same offer.
    """
    sound = [candidate for candidate in candidates if candidate.strain <= 1.0]
    ranked = {special: rank([c for c in sound if c.special == special], weights) for special in sets}
    order = [alike[0] for alike in ranked.values() if alike]
    for alike in ranked.values():
        table = np.array([_objectives(c, weights) for c in alike]).reshape(-1, 3)
        order += [c for c, keep in zip(alike, not_dominated(table), strict=True) if keep and c is not alike[0]]
    chosen: list[Candidate] = []
    for candidate in order:
        if len(chosen) < MOST_OFFERS and not any(same_offer(candidate, other, weights) for other in chosen):
            chosen.append(candidate)
    return sorted(chosen, key=lambda c: (total_parts(c.special), special_key(c.special), _objectives(c, weights)))


def rank(same: list[Candidate], weights: FloatArray) -> list[Candidate]:
    """Best first among bills with the same special malts.

    Bills within one step of the least risk are as safe as each other, of these those within one of the cheapest litre
    as cheap; of these the one with the fewest lots comes first, then the one with most litres.
    """
    scored = [(_objectives(c, weights), c) for c in same]
    if not scored:
        return []
    safest = min(s[2] for s, _ in scored) + RISK_STEP
    cost = min(s[0] for s, _ in scored if s[2] <= safest)

    def key(pair: tuple[tuple[float, float, float], Candidate]) -> tuple[bool, bool, int, float, str]:
        (money, litres, chance), candidate = pair
        dear, risky = money > cost + candidate.steps[1], chance > safest
        return risky, dear, len(candidate.bill.shares), litres, candidate.bill.name

    return [candidate for _, candidate in sorted(scored, key=key)]


def same_offer(one: Candidate, other: Candidate, weights: FloatArray) -> bool:
    """Whether two bills with the same special malts cannot be told apart in litres or money, or hardly."""
    if one.special != other.special:
        return False
    litres = band(one.change_gain - other.change_gain, weights)
    money = band(one.change_cost - other.change_cost, weights)
    return _no_difference(litres, one.steps[0]) and _no_difference(money, one.steps[1])


def _no_difference(change: Band, step: float) -> bool:
    return change.includes_zero or abs(change.middle) < step
