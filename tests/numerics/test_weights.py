"""Weighted quantiles, importance weights against the closed form, members that failed."""

import numpy as np
import pytest

from gristwright.numerics.weights import (
    band,
    effective_members,
    equal_weights,
    failed_share,
    normal_weights,
    weighted_mean,
)


def test_equal_weights_give_the_usual_quantiles():
    values = np.arange(1001.0)
    assert band(values, equal_weights(1001)).middle == pytest.approx(500.0)
    assert band(values, equal_weights(1001)).low == pytest.approx(50.0, abs=1.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_importance_weights_agree_with_the_conjugate_normal(seed):
    """Normal prior and normal error: posterior mean and variance in closed form (Gelman et al., Bayesian Data
    Analysis, eq. 2.10-2.11)."""
    values = np.random.default_rng(seed).normal(389.0, 7.0, 40_000)
    weights = normal_weights(values, 395.0, 3.0)
    precision = 1 / 49.0 + 1 / 9.0
    mean = (389.0 / 49.0 + 395.0 / 9.0) / precision
    assert weighted_mean(values, weights) == pytest.approx(mean, abs=0.1)
    assert np.sqrt(weighted_mean((values - mean) ** 2, weights)) == pytest.approx(precision**-0.5, rel=0.03)
    assert 10_000 < effective_members(weights) < 40_000


def test_failed_members_are_counted_and_left_out():
    values = np.array([1.0, 2.0, np.nan, 4.0])
    assert failed_share(values, equal_weights(4)) == pytest.approx(0.25)
    assert np.isfinite(band(values, equal_weights(4)).high)
