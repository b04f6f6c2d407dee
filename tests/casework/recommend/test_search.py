"""The search against plain enumeration: counts, the fine grid, neighbours of the offers, conflicts, stopping."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from gristwright.casework.bench.anchor import anchor
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.setting_up import set_up
from gristwright.casework.recommend import search, work
from gristwright.casework.recommend.demands import demands, fail_masks, reference_run, smallest_conflict
from gristwright.casework.recommend.front import RISK_STEP, for_character
from gristwright.casework.recommend.sets import name_of, shares_of
from gristwright.casework.recommend.work import COST_STEP, LITRE_STEP, MOST_RISK, MOST_STARCH_RISK
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.flowsheet.line import NewMake
from gristwright.numerics.grid import count_bounded
from gristwright.numerics.weights import band
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import Search
from house.places import EXAMPLES

MEMBERS = 512
MALT, GRAIN = ("all-malt-pot", "lots.csv"), ("maize-rye-column", "certificates.xlsx")
HOUSES = (MALT, GRAIN)
Found = tuple[list[search.Candidate], Search]


@cache
def asked(house: tuple[str, str], step_parts: int) -> tuple[Bench, Enquiry]:
    """An example's enquiry in steps of 0.01 %, on a bench with the plant's own average used."""
    folder, certificates = EXAMPLES / house[0], house[1]
    lots = read_lots(folder / certificates).accepted()
    enquiry = replace(read_enquiry(folder / "enquiry.toml").accepted(), grid_parts=step_parts)
    prices = {offered.lot_id: offered.price_per_t for offered in enquiry.offered}
    bench = set_up([lot for lot in lots if lot.lot_id in prices], prices, enquiry.plant, enquiry.cask, [], MEMBERS)
    return anchor(bench, enquiry.present, enquiry.record)[0], enquiry


def silent(_done: int, _total: int, _note: str) -> None:
    pass


def found(house: tuple[str, str], step_parts: int) -> Found:
    return search.find(*asked(house, step_parts), silent)


@cache
def offers_of(house: tuple[str, str], step_parts: int) -> list[search.Candidate]:
    """The offers of a search as it is, for tests that change nothing of it."""
    return found(house, step_parts)[0]


def money(candidate: search.Candidate, weights: NDArray[np.float64]) -> float:
    return band(candidate.change_cost, weights).middle


def in_plain_loops(bench: Bench, enquiry: Enquiry) -> Iterator[tuple[int, ...]]:
    """Every bill inside the ranges, lot by lot, with nothing of the grid's own."""
    step, ids = enquiry.grid_parts, [belief.lot.lot_id for belief in bench.lots]
    limits = {o.lot_id: (o.least_parts, o.most_parts) for o in enquiry.offered}
    axes = [[p for p in range(0, WHOLE + 1, step) if limits[lot][0] <= p <= limits[lot][1]] for lot in ids]
    for bill in product(*axes[1:]):
        first = WHOLE - sum(bill)
        shares = dict(zip(ids, (first, *bill), strict=True))
        groups = [sum(shares[lot] for lot in g.lot_ids) for g in enquiry.groups]
        inside = all(g.least_parts <= total <= g.most_parts for g, total in zip(enquiry.groups, groups, strict=True))
        if first in axes[0] and inside and sum(p > 0 for p in shares.values()) <= enquiry.most_materials:
            yield tuple(shares.values())


@pytest.mark.parametrize("house", HOUSES, ids=lambda h: h[0])
@pytest.mark.parametrize(("step", "most"), [(500, 5), (250, 5), (200, 3), (100, 3)])
def test_bills_on_grid_are_counted_exactly(house: tuple[str, str], step: int, most: int) -> None:
    bench, enquiry = asked(house, step)
    enquiry = replace(enquiry, most_materials=most)
    told = search.find(bench, enquiry, silent)[1]
    listed = list(in_plain_loops(bench, enquiry))
    assert told.bills_on_grid == count_bounded(WHOLE // step, search.ranges(bench, enquiry)) == len(listed)
    assert told.step_pct == step / 100.0


@pytest.mark.parametrize("house", HOUSES, ids=lambda h: h[0])
def test_bills_allowed_are_those_of_plain_loops(house: tuple[str, str]) -> None:
    bench, enquiry = asked(house, 200)
    rows = np.array(list(in_plain_loops(bench, enquiry)), dtype=np.int64)
    masks = fail_masks(demands(bench, enquiry, reference_run(bench, enquiry, rows)))
    assert search.find(bench, enquiry, silent)[1].bills_allowed == int(np.sum(masks == 0))


@pytest.mark.parametrize(("house", "step"), [(MALT, 100), (MALT, 250), (GRAIN, 250)], ids=str)
def test_looking_around_the_first_grid_finds_what_the_whole_grid_holds(
    house: tuple[str, str], step: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole, told = found(house, step)
    monkeypatch.setattr(search, "WHOLE_GRID", 0)
    near, told_near = found(house, step)
    assert [c.bill for c in near] == [c.bill for c in whole]
    assert told_near.bills_on_grid == told.bills_on_grid
    assert told_near.bills_evaluated < told.bills_evaluated or told_near.bills_allowed < told.bills_allowed
    assert "was looked at whole, then" in told_near.how and "inside the ranges" in told.how


@pytest.mark.parametrize("step", [200, 400])
def test_looking_around_where_the_step_does_not_divide_the_first(step: int, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = found(MALT, step)[0]
    monkeypatch.setattr(search, "WHOLE_GRID", 0)
    assert [c.special for c in found(MALT, step)[0]] == [c.special for c in whole]


def test_looking_around_costs_at_most_a_step_of_money(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two bills may both lie within a step of the cheapest litre; which one is found may then differ."""
    bench, _ = asked(GRAIN, 100)
    whole = found(GRAIN, 100)[0]
    monkeypatch.setattr(search, "WHOLE_GRID", 0)
    near = found(GRAIN, 100)[0]
    assert [c.special for c in near if c.special] and len(near) == len(whole)
    for ours, theirs in zip(near, whole, strict=True):
        ours_rye, theirs_rye = (sum(s.parts for s in c.bill.shares if s.lot_id == "RY-1") for c in (ours, theirs))
        assert ours_rye == theirs_rye
        assert abs(money(ours, bench.weights) - money(theirs, bench.weights)) < COST_STEP


@cache
def allowed(house: tuple[str, str], step_parts: int) -> frozenset[tuple[int, ...]]:
    return frozenset(in_plain_loops(*asked(house, step_parts)))


def neighbours(
    bench: Bench, enquiry: Enquiry, inside: frozenset[tuple[int, ...]], bill: Bill, seed: int
) -> list[tuple[int, ...]]:
    """Random allowed bills a few steps off, with the same lots bought for character."""
    rng, step = np.random.default_rng(seed), enquiry.grid_parts
    character = for_character(bench, enquiry)
    free = [k for k, b in enumerate(bench.lots) if b.lot.lot_id not in character]
    own = [bill.parts_of(b.lot.lot_id) for b in bench.lots]
    moved = set()
    for _ in range(40):
        row = list(own)
        for _ in range(int(rng.integers(1, 3))):
            give, take = rng.choice(free, 2, replace=False)
            parts = step * int(rng.integers(1, 6))
            row[give], row[take] = row[give] - parts, row[take] + parts
        moved.add(tuple(row))
    rows = sorted((moved & inside) - {tuple(own)})
    if not rows:
        return []
    masks = fail_masks(demands(bench, enquiry, reference_run(bench, enquiry, np.array(rows, dtype=np.int64))))
    return [row for row, mask in zip(rows, masks, strict=True) if mask == 0]


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize(("house", "step"), [(MALT, 100), (MALT, 500), (GRAIN, 100), (GRAIN, 200)], ids=str)
def test_no_neighbour_of_an_offer_is_better(house: tuple[str, str], step: int, seed: int) -> None:
    """Sound enough to offer and no riskier: none cheaper by more than a step, none as cheap and richer by one."""
    bench, enquiry = asked(house, step)
    looked_at = 0
    offers = list(offers_of(house, step))
    for number, offer in enumerate(offers):
        for row in neighbours(bench, enquiry, allowed(house, step), offer.bill, seed):
            parts = np.array(row)
            bill = Bill(name_of(bench, parts), shares_of(bench, parts))
            near = bench.made_near(bill, offer.bill)
            if not _betters(bench, enquiry, offers, number, bill, near):
                looked_at += 1
            else:
                # What the ratio of two mashes says of risk is rough: its own mash decides.
                assert not _betters(bench, enquiry, offers, number, bill, bench.made(bill)), bill.name
    assert looked_at > 0 or house == GRAIN


def _betters(
    bench: Bench, enquiry: Enquiry, offers: list[search.Candidate], number: int, bill: Bill, made: NewMake
) -> bool:
    """Sound enough, no riskier, and cheaper by more than a step, or as cheap and richer by one; and no other offer is
    as good as it."""
    offer, others = offers[number], [*offers[:number], *offers[number + 1 :]]
    other = search._candidate(bench, enquiry, bill, made, bench.made(enquiry.present))
    if other.strain > 1.0 or other.risk > offer.risk + RISK_STEP:
        return False
    if any(_as_good(bench, one, other) for one in others):
        return False
    richer = band(other.change_gain, bench.weights).middle - band(offer.change_gain, bench.weights).middle
    cheaper = money(offer, bench.weights) - money(other, bench.weights)
    return cheaper > COST_STEP + 1e-9 or (cheaper >= 0.0 and richer > LITRE_STEP)


def _as_good(bench: Bench, offer: search.Candidate, other: search.Candidate) -> bool:
    """No dearer, no riskier and no poorer than another bill by more than a step, with the same special malts."""
    poorer = band(other.change_gain, bench.weights).middle - band(offer.change_gain, bench.weights).middle
    dearer = money(offer, bench.weights) - money(other, bench.weights)
    alike = offer.special == other.special
    return alike and dearer <= COST_STEP and offer.risk <= other.risk + RISK_STEP and poorer <= LITRE_STEP


@pytest.mark.parametrize("house", HOUSES, ids=lambda h: h[0])
def test_raising_stops_at_every_stage(house: tuple[str, str]) -> None:
    bench, enquiry = asked(house, 100)
    notes: list[str] = []
    search.find(bench, enquiry, lambda _done, _total, note: notes.append(note))
    assert len(set(notes)) >= 2

    class Stopped(Exception):
        pass

    for stage in dict.fromkeys(notes):

        def tick(_done: int, _total: int, note: str, stage: str = stage) -> None:
            if note == stage:
                raise Stopped

        with pytest.raises(Stopped):
            search.find(bench, enquiry, tick)


def test_ticks_count_up_to_a_known_end() -> None:
    seen: list[tuple[int, int]] = []
    search.find(*asked(MALT, 100), lambda done, total, _note: seen.append((done, total)))
    assert all(0 <= done <= total for done, total in seen)


@pytest.mark.parametrize("house", HOUSES, ids=lambda h: h[0])
@pytest.mark.parametrize("most", [0.02, 0.2, 0.5])
def test_a_bill_riskier_than_the_most_is_not_offered_and_is_named(
    house: tuple[str, str], most: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(work, "MOST_RISK", most)
    offers, told = found(house, 200)
    # Want of enzyme has a bound of its own, beside that of the other boards.
    assert all(offer.strain <= 1.0 and offer.board is not None for offer in offers)
    assert all(offer.risk <= work.most_risk(offer.board.key) for offer in offers if offer.board)
    assert work.most_risk("foam") == most
    named = {line.split(":")[0] for line in told.left_out}
    assert not named & {offer.bill.name for offer in offers}
    if house == GRAIN and most < 0.2:
        # 26 % rye and more wants more room above the wash than this house has.
        assert any("RY-1" in name for name in named)
        assert all(
            re.search("foam|room in the washback|enzymes|starch", line)
            for line in told.left_out
            if "20 % RY-1" not in line
        )


def test_starch_left_is_let_pass_less_than_other_boards() -> None:
    assert work.most_risk("enzymes") == MOST_STARCH_RISK < MOST_RISK == work.most_risk("foam")
    bench, enquiry = asked(GRAIN, 200)
    bill = Bill("short", (Share("HE-1", 500), Share("MZ-1", 7500), Share("RY-1", 2000)))
    candidate = search._candidate(bench, enquiry, bill, bench.made(bill), bench.made(enquiry.present))
    assert candidate.worst == "Conversion by its own enzymes"
    assert candidate.strain == pytest.approx(candidate.risk / MOST_STARCH_RISK) and candidate.strain > 1.0
    assert bill.shares not in {offer.bill.shares for offer in found(GRAIN, 200)[0]}


def test_choosing_leaves_out_what_is_too_risky() -> None:
    bench, _ = asked(MALT, 500)
    kept = found(MALT, 500)[0]
    sets = [candidate.special for candidate in kept]
    risky = [replace(candidate, strain=1.01) for candidate in kept[1:]]
    assert [c.bill for c in search.choose([kept[0], *risky], sets, bench.weights)] == [kept[0].bill]


@given(st.integers(1, 7).flatmap(lambda bits: st.tuples(
    st.just(bits), st.lists(st.integers(0, 2**bits - 1), min_size=1, max_size=40))))  # fmt: skip
def test_the_smallest_conflict_equals_brute_force(drawn: tuple[int, list[int]]) -> None:
    """A smallest set of demands of which every bill fails one: found here by trying all sets of plain integers."""
    count, masks = drawn
    got = smallest_conflict(np.array(masks, dtype=np.uint64), count)
    hitting = [
        chosen
        for size in range(1, count + 1)
        for chosen in combinations(range(count), size)
        if all(any(mask >> bit & 1 for bit in chosen) for mask in masks)
    ]
    if 0 in masks:
        assert got == () and hitting == []
        return
    assert got in hitting
    assert len(got) == min(len(chosen) for chosen in hitting)
