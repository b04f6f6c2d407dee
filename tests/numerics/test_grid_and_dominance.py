"""Counts equal the closed form, every row adds up, the front is the front."""

from itertools import combinations, product
from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gristwright.numerics.dominance import not_dominated
from gristwright.numerics.grid import Bounds, all_shares, around, count_bounded, count_shares, inside, listed


@pytest.mark.parametrize(("steps", "parts"), [(1, 1), (4, 1), (20, 4), (20, 5), (10, 6)])
def test_every_way_once(steps, parts):
    """C(n + k - 1, k - 1) compositions of n into k parts (stars and bars, any combinatorics text)."""
    rows = all_shares(steps, parts)
    assert len(rows) == count_shares(steps, parts) == comb(steps + parts - 1, parts - 1)
    assert (rows.sum(axis=1) == steps).all()
    assert len(np.unique(rows, axis=0)) == len(rows)


@pytest.mark.parametrize(("steps", "parts", "most"), [(20, 6, 3), (10, 8, 5), (100, 4, 2)])
def test_at_most_so_many_parts(steps, parts, most):
    assert len(all_shares(steps, parts, most)) == count_shares(steps, parts, most)


def test_against_brute_force():
    brute = sorted(row for row in product(range(6), repeat=3) if sum(row) == 5)
    assert [tuple(int(x) for x in row) for row in all_shares(5, 3)] == brute


def closed_form(steps: int, high: tuple[int, ...]) -> int:
    """Bounded compositions by inclusion and exclusion over the parts that exceed their bound."""
    total = 0
    for size in range(len(high) + 1):
        for chosen in combinations(range(len(high)), size):
            left = steps - sum(high[k] + 1 for k in chosen)
            total += (-1) ** size * (comb(left + len(high) - 1, len(high) - 1) if left >= 0 else 0)
    return total


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 25), st.lists(st.integers(0, 25), min_size=1, max_size=5))
def test_bounded_count_equals_the_closed_form(steps, high):
    bounds = Bounds((0,) * len(high), tuple(high))
    assert count_bounded(steps, bounds) == closed_form(steps, tuple(high)) == len(listed(steps, bounds))


@settings(max_examples=60, deadline=None)
@given(
    st.integers(4, 20),
    st.lists(st.tuples(st.integers(0, 4), st.integers(0, 20)), min_size=4, max_size=6),
    st.integers(2, 6),
    st.integers(0, 8),
    st.integers(0, 12),
)
def test_count_with_groups_and_a_limit_of_parts_is_what_is_listed(steps, ends, most, group_low, group_span):
    low = tuple(a for a, _ in ends)
    high = tuple(max(a, b) for a, b in ends)
    bounds = Bounds(low, high, (((0, 1), group_low, group_low + group_span), ((2,), 0, 3)), most)
    rows = listed(steps, bounds)
    brute = [
        row
        for row in all_shares(steps, len(ends))
        if all(a <= x <= b for a, x, b in zip(low, row, high, strict=True))
        and (row > 0).sum() <= most
        and group_low <= row[0] + row[1] <= group_low + group_span
        and row[2] <= 3
    ]
    assert count_bounded(steps, bounds) == len(rows) == len(brute)
    assert inside(rows, bounds).all()


def test_around_is_every_row_of_the_box_once():
    bounds = Bounds((0, 0, 0), (20, 20, 20))
    near = around(np.array([[10, 10, 0], [9, 11, 0]], dtype=np.int16), 2, bounds)
    assert {tuple(row) for row in near.tolist()} == {(10 + k, 10 - k, 0) for k in range(-3, 3)}


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=30))
def test_the_front_is_what_nobody_beats(rows):
    table = np.array(rows, dtype=float)
    kept = not_dominated(table)
    for row, keep in zip(rows, kept, strict=True):
        beaten = any(o[0] <= row[0] and o[1] <= row[1] and o != row for o in rows)
        assert keep == (not beaten)
