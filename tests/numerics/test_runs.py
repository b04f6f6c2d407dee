"""Weighted draws read as bands, and inputs moved one at a time read as what a value rests on."""

import numpy as np
import pytest

from gristwright.numerics.runs import Runs, with_moved

WEIGHTS = np.array([0.1, 0.2, 0.3, 0.4])
DRAWS = {name: np.array([1.0, 2.0, 3.0, 4.0]) * scale for name, scale in (("a", 1.0), ("b", 10.0), ("c", 0.5))}
MIDDLES = {"a": np.array([2.5]), "b": np.array([25.0]), "c": np.array([1.25])}
ENDS = {"a": (1.0, 4.0), "b": (10.0, 40.0)}
MOVED = with_moved(DRAWS, MIDDLES, ENDS)
RUNS = Runs(WEIGHTS, tuple(ENDS))


def test_one_member_at_the_middles_and_two_for_each_input_that_moves():
    assert MOVED["a"][4:].tolist() == [2.5, 1.0, 4.0, 2.5, 2.5]
    assert MOVED["b"][4:].tolist() == [25.0, 25.0, 25.0, 10.0, 40.0]
    assert MOVED["c"][4:].tolist() == [1.25] * 5
    assert all(np.array_equal(MOVED[name][:4], DRAWS[name]) for name in DRAWS)


def test_what_moves_a_value_is_what_it_rests_on():
    a, b, c = (MOVED[name] for name in "abc")
    assert RUNS.rests_on(a + 1.0) == ("a",)
    assert RUNS.rests_on(a * b) == ("a", "b")
    assert RUNS.rests_on(c) == ()
    assert RUNS.rests_on(np.minimum(a, 0.5) + c) == ()  # read, and moves nothing
    assert RUNS.rests_on(a, b) == ("a", "b")
    assert RUNS.rests_on(a * (1.0 + 1e-13 * b)) == ("a",)  # the last digits are no move


def test_a_value_that_cannot_be_had_at_one_end_rests_on_that_input():
    assert RUNS.rests_on(np.where(MOVED["b"] > 30.0, np.nan, 1.0)) == ("b",)
    assert RUNS.rests_on(np.full(9, np.nan)) == ()


def test_effects_are_the_values_at_low_middle_and_high():
    found = RUNS.effects(2.0 * MOVED["a"])
    assert set(found) == {"a"}
    assert (found["a"].low, found["a"].middle, found["a"].high) == (2.0, 5.0, 8.0)


def test_bands_and_chances_are_of_the_draws_alone():
    plain = Runs(WEIGHTS)
    assert RUNS.band(MOVED["a"]) == plain.band(DRAWS["a"])
    assert RUNS.chance(MOVED["a"] > 2.5) == pytest.approx(0.7)
    assert plain.rests_on(DRAWS["a"]) == ()
