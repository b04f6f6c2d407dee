"""Counts equal the closed form, every row adds up, the front is the front."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.numerics.dominance import not_dominated
from gristwright.numerics.grid import all_shares, count_shares


@pytest.mark.parametrize(("steps", "parts"), [(1, 1), (4, 1), (20, 4), (20, 5), (10, 6)])
def test_every_way_once(steps, parts):
    rows = all_shares(steps, parts)
    assert len(rows) == count_shares(steps, parts)
    assert (rows.sum(axis=1) == steps).all()
    assert len(np.unique(rows, axis=0)) == len(rows)


def test_against_brute_force():
    brute = sorted(row for row in product(range(6), repeat=3) if sum(row) == 5)
    assert [tuple(int(x) for x in row) for row in all_shares(5, 3)] == brute


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=30))
def test_the_front_is_what_nobody_beats(rows):
    table = np.array(rows, dtype=float)
    kept = not_dominated(table)
    for row, keep in zip(rows, kept, strict=True):
        beaten = any(o[0] <= row[0] and o[1] <= row[1] and o != row for o in rows)
        assert keep == (not beaten)
