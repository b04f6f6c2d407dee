"""Furfural goes with living yeast times hours; what is fitted and what predicted of the one measured course."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.stages.wash.furfural import furfural_left, furfural_left_after, measured, pace_L_per_g_h
from outside.adapters_wash import FITTED_TO_H, furfural_shares


def test_nothing_is_taken_without_yeast_or_time() -> None:
    assert np.all(furfural_left_after([0.0, 48.0], [3.0, 0.0], 0.3) == 1.0)


def test_hours_and_yeast_count_alike() -> None:
    assert furfural_left_after(10.0, 4.0, 0.1) == pytest.approx(float(furfural_left_after(40.0, 1.0, 0.1)))
    assert furfural_left(40.0, 0.1) == pytest.approx(np.exp(-4.0))


def test_members_lie_side_by_side() -> None:
    left = furfural_left(np.array([10.0, 20.0, 40.0]), np.array([0.05, 0.1, 0.2]))
    assert left.shape == (3,) and np.all(np.diff(left) < 0.0)


def test_the_range_of_the_pace_holds_both_measured_rates_at_any_yeast_of_the_must() -> None:
    low, high = pace_L_per_g_h()
    for rate in measured()["per_h"]:
        for yeast in measured()["yeast_g_per_L"]:
            assert low <= rate / yeast <= high


def test_a_usual_wash_is_left_with_next_to_nothing_at_either_end_of_the_range() -> None:
    slow, fast = (float(furfural_left_after(48.0, 3.0, pace)) for pace in pace_L_per_g_h())
    assert fast < 1e-9
    assert 0.001 < slow < 0.01


def test_all_34_points_with_yeast_that_grows() -> None:
    """Fitted up to 7.5 h, the growth by the ethanol; predicted from there on."""
    hours, left, told = furfural_shares(grows=True)
    predicted = hours > FITTED_TO_H
    assert len(hours) == 34
    assert np.max(np.abs(told - left)[predicted]) < 0.02
    # The first hours do not fit: more is gone than so little yeast should have taken.
    assert 0.1 < np.max(np.abs(told - left)[~predicted]) < 0.2
    # Relative to what is left the end is told too low; it is a hundredth of what was there.
    assert np.all(told[(hours > 11.0) & (hours < 18.0)] < left[(hours > 11.0) & (hours < 18.0)])


def test_yeast_that_stays_as_pitched_does_not_tell_the_course() -> None:
    hours, left, told = furfural_shares(grows=False)
    assert np.max(np.abs(told - left)[hours > FITTED_TO_H]) > 0.15
