"""Find the bills: a declared grid, masks of failed demands, dominance on paired differences. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import Band, FloatArray, Problem, Refused
from gristwright.casework.bench import Bench
from gristwright.casework.demands import demands, fail_masks, reference_run, relaxations, smallest_conflict
from gristwright.economics.new_make import cost_per_lpa
from gristwright.flowsheet import NewMake
from gristwright.numerics.dominance import not_dominated
from gristwright.numerics.grid import all_shares, count_shares
from gristwright.numerics.weights import band
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import Search
from gristwright.stages.grist.boards import floors
from gristwright.stages.grist.model import short_of_enzyme
from gristwright.stages.mash.boards import RED_SG
from gristwright.stages.still.limits import STRONG_CHARGE_ABV_PCT

MOST_BILLS = 2_000_000
MOST_OFFERS = 5
# What a person would call different: litres a tonne, money a litre, probability.
LITRE_STEP, COST_STEP, RISK_STEP = 1.0, 0.01, 0.01
Tick = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Candidate:
    """A bill nobody beats among those with the same special malts; differences have shape (members,)."""

    bill: Bill
    special: tuple[Share, ...]
    change_lpa_per_t: FloatArray
    change_cost: FloatArray
    risk: float
    allowed_alike: int = 1  # bills with the same special malts that meet every demand


def find(bench: Bench, enquiry: Enquiry, tick: Tick) -> tuple[list[Candidate], Search]:
    """The candidates worth offering, and how they were found. `tick` may raise to stop."""
    parts = grid(enquiry, len(bench.lots))
    tick(0, len(parts), "screening the bills on the reference run")
    ref = reference_run(bench, enquiry, parts)
    asked = demands(bench, enquiry, ref)
    masks = fail_masks(asked)
    allowed = np.flatnonzero(masks == 0)
    conflict = smallest_conflict(masks, len(asked))
    kept = _compare(bench, enquiry, parts[allowed], tick) if len(allowed) else []
    failed = tuple((demand.words, int(demand.fails.sum())) for demand in asked)
    search = Search(
        step_pct=enquiry.grid_parts / 100.0,
        bills_on_grid=len(parts),
        bills_allowed=len(allowed),
        bills_not_beaten=len(kept),
        failed_by_demand=failed,
        conflict=relaxations(asked, masks, conflict, ref, enquiry.currency),
    )
    return choose(kept, bench.weights), search


def grid(enquiry: Enquiry, lots: int) -> NDArray[np.int64]:
    """Every bill of the declared grid, shape (bills, lots) in 0.01 %. Raises Refused when there are too many."""
    steps = WHOLE // enquiry.grid_parts
    count = count_shares(steps, lots)
    if count > MOST_BILLS:
        what = (
            f"{lots} lots in steps of {enquiry.grid_parts / 100:g} % make {count:,} bills; {MOST_BILLS:,} is the most."
        )
        raise Refused([Problem("search, step_pct", what, "Take a coarser step or fewer lots.")])
    return all_shares(steps, lots).astype(np.int64) * enquiry.grid_parts


def _compare(bench: Bench, enquiry: Enquiry, parts: NDArray[np.int64], tick: Tick) -> list[Candidate]:
    """The bills not beaten among those with the same special malts, all on the same draws as the present one.

    Special malt is bought for character, so which and how much is the customer's choice and never an objective: a
    bill with less or other special malt does not beat one with more.
    """
    present = bench.new_make(bench.shares(enquiry.present), bench.draws)
    candidates = []
    for done, row in enumerate(parts):
        if done % 50 == 0:
            tick(done, len(parts), "comparing the allowed bills with the present one on every draw")
        bill = Bill(name_of(bench, row), _shares(bench, row))
        if bill.shares != enquiry.present.shares:
            candidates.append(_candidate(bench, enquiry, bill, present))
    kept = []
    for special in {candidate.special for candidate in candidates}:
        alike = [candidate for candidate in candidates if candidate.special == special]
        same = [replace(candidate, allowed_alike=len(alike)) for candidate in alike]
        objectives = np.array([_objectives(candidate, bench.weights) for candidate in same])
        kept += [candidate for candidate, keep in zip(same, not_dominated(objectives), strict=True) if keep]
    return kept


def _candidate(bench: Bench, enquiry: Enquiry, bill: Bill, present: NewMake) -> Candidate:
    made = bench.new_make(bench.shares(bill), bench.draws)
    processing = enquiry.processing_cost_per_t
    cost = cost_per_lpa(made.grist.malt_cost_per_t, processing, made.spirit.lpa_per_t)
    cost_now = cost_per_lpa(present.grist.malt_cost_per_t, processing, present.spirit.lpa_per_t)
    names = {belief.lot.lot_id for belief in bench.lots if belief.material.specialty}
    special = tuple(share for share in bill.shares if share.lot_id in names)
    return Candidate(
        bill, special, made.spirit.lpa_per_t - present.spirit.lpa_per_t, cost - cost_now, risk(bench, enquiry, made)
    )


def risk(bench: Bench, enquiry: Enquiry, made: NewMake) -> float:
    """The probability that the worst board of a bill is not in order; law was screened before."""
    row = floors(bench.plant.grain_cooked, bench.plant.wort_boiled)
    sg = made.wort.original_gravity_sg
    red = (
        short_of_enzyme(made.grist, float(row["red_below_degLintner"]), float(row["red_below_DU"])),
        (sg < RED_SG[0]) | (sg > (enquiry.limits.most_original_gravity_sg or RED_SG[1])),
        (made.spirit.charge_abv_pct > STRONG_CHARGE_ABV_PCT) & (bench.plant.pot_stills is not None),
    )
    return max(float(np.sum(bench.weights[mask])) for mask in red)


def _objectives(candidate: Candidate, weights: FloatArray) -> tuple[float, float, float]:
    """Smaller is better: cost change, litres given up, risk."""
    litres, money = band(candidate.change_lpa_per_t, weights), band(candidate.change_cost, weights)
    return round(money.middle, 5), round(-litres.middle, 4), round(candidate.risk, 4)


def choose(kept: list[Candidate], weights: FloatArray) -> list[Candidate]:
    """Up to five offers: the best of each set of special malts, single ones first; then the runners-up.

    A candidate that cannot be told from one already chosen with the same special malts is the same offer.
    """
    sets = sorted({c.special for c in kept}, key=lambda special: (len(special), _total(special), special_key(special)))
    ranked = {special: rank([c for c in kept if c.special == special], weights) for special in sets}
    wanted = spread(sets, MOST_OFFERS)
    order = [ranked[special][0] for special in wanted] + [c for special in wanted for c in ranked[special][1:]]
    chosen: list[Candidate] = []
    for candidate in order:
        if len(chosen) < MOST_OFFERS and not any(same_offer(candidate, other, weights) for other in chosen):
            chosen.append(candidate)
    return sorted(chosen, key=lambda c: (_total(c.special), special_key(c.special), _objectives(c, weights)))


def rank(same: list[Candidate], weights: FloatArray) -> list[Candidate]:
    """Best first among bills with the same special malts.

    Bills within one step of the cheapest litre and of the least risk are as good as each other; of these the one with
    the fewest lots comes first, then the one with most litres.
    """
    scored = [(_objectives(c, weights), c) for c in same]
    cost, risk_ = min(s[0] for s, _ in scored), min(s[2] for s, _ in scored)

    def key(pair: tuple[tuple[float, float, float], Candidate]) -> tuple[bool, bool, int, float, str]:
        (money, litres, chance), candidate = pair
        dear, risky = money > cost + COST_STEP, chance > risk_ + RISK_STEP
        return dear, risky, len(candidate.bill.shares), litres, candidate.bill.name

    return [candidate for _, candidate in sorted(scored, key=key)]


def _total(special: tuple[Share, ...]) -> int:
    return sum(share.parts for share in special)


def special_key(special: tuple[Share, ...]) -> tuple[tuple[str, int], ...]:
    """A set of special malts as something that sorts."""
    return tuple((share.lot_id, share.parts) for share in special)


def spread(sets: list[tuple[Share, ...]], most: int) -> list[tuple[Share, ...]]:
    """At most so many sets: those with fewest special malts, the smallest and largest shares among them."""
    if len(sets) <= most:
        return sets
    fewest = [special for special in sets if len(special) <= len(sets[min(most, len(sets)) - 1])]
    picks = np.unique(np.round(np.linspace(0, len(fewest) - 1, most)).astype(int))
    return [fewest[k] for k in picks]


def same_offer(one: Candidate, other: Candidate, weights: FloatArray) -> bool:
    """Whether two bills with the same special malts cannot be told apart in litres or money, or hardly."""
    if one.special != other.special:
        return False
    litres = band(one.change_lpa_per_t - other.change_lpa_per_t, weights)
    money = band(one.change_cost - other.change_cost, weights)
    return _no_difference(litres, LITRE_STEP) and _no_difference(money, COST_STEP)


def _no_difference(change: Band, step: float) -> bool:
    return change.includes_zero or abs(change.middle) < step


def name_of(bench: Bench, row: NDArray[np.int64]) -> str:
    """A bill's name out of its shares: largest first."""
    named = [(int(part), belief.lot.lot_id) for part, belief in zip(row, bench.lots, strict=True) if part]
    return " + ".join(f"{part / 100:g} % {lot_id}" for part, lot_id in sorted(named, key=lambda x: (-x[0], x[1])))


def _shares(bench: Bench, row: NDArray[np.int64]) -> tuple[Share, ...]:
    return tuple(Share(b.lot.lot_id, int(part)) for part, b in zip(row, bench.lots, strict=True) if part)
