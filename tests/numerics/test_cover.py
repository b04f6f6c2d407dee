"""The cheapest choice that is enough: as cheap as any, the same every time, and not a word on the process's output."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from gristwright.basics import FloatArray
from gristwright.numerics.cover import cheapest_cover

GAP, MOST = 1e-4, 5000
Problem = tuple[FloatArray, FloatArray, FloatArray]


def problem(seed: int, things: int, part: float) -> Problem:
    """Costs near what things bring, and a second need that some things work against."""
    rng = np.random.default_rng(seed)
    first = rng.uniform(50.0, 150.0, things)
    cost = first * rng.choice([4.0, 6.0, 9.0], things) * rng.uniform(0.98, 1.02, things)
    return cost, np.stack([first, rng.normal(2.0, 5.0, things)]), np.array([part * first.sum(), 0.0])


def least_of_all(cost: FloatArray, brings: FloatArray, needed: FloatArray) -> float:
    every = np.array(list(itertools.product((0.0, 1.0), repeat=len(cost))))
    fit = np.all(every @ brings.T >= needed, axis=1)
    return float((every[fit] @ cost).min())


@pytest.mark.parametrize("seed", range(30))
def test_no_choice_of_twelve_things_is_cheaper(seed: int) -> None:
    cost, brings, needed = problem(seed, 12, 0.1 + 0.02 * seed)
    taken = cheapest_cover(cost, brings, needed, GAP, MOST)
    assert taken is not None
    assert np.all(brings[:, taken].sum(axis=1) >= needed)
    assert cost[taken].sum() <= least_of_all(cost, brings, needed) * (1.0 + 1.01 * GAP)


@pytest.mark.parametrize(("things", "part"), [(300, 0.02), (300, 0.4), (3000, 0.003), (3000, 0.1)])
def test_many_things_come_as_near_as_they_must_to_a_choice_of_parts(things: int, part: float) -> None:
    from scipy.optimize import linprog

    cost, brings, needed = problem(3, things, part)
    taken = cheapest_cover(cost, brings, needed, GAP, MOST)
    divided = linprog(cost, -brings, -needed, bounds=(0.0, 1.0)).fun
    assert taken is not None
    assert np.all(brings[:, taken].sum(axis=1) >= needed)
    assert cost[taken].sum() <= divided * (1.0 + 5.0 * GAP)
    again = cheapest_cover(cost, brings, needed, GAP, MOST)
    assert again is not None and np.array_equal(taken, again)


def test_what_all_things_together_do_not_bring_has_no_choice() -> None:
    cost, brings, needed = problem(1, 10, 1.01)
    assert cheapest_cover(cost, brings, needed, GAP, MOST) is None


def test_nothing_is_needed_and_nothing_taken() -> None:
    cost, brings, _ = problem(1, 10, 0.0)
    taken = cheapest_cover(cost, brings, np.zeros(2), GAP, MOST)
    assert taken is not None and not taken.any()


def test_nothing_is_written_while_it_searches(capfd: pytest.CaptureFixture[str]) -> None:
    for seed in range(20):
        cheapest_cover(*problem(seed, 30, 0.05 + 0.03 * seed), GAP, MOST)
    assert capfd.readouterr() == ("", "")
