"""Draws keep their column, follow their prior, and come again with the same seed."""

import numpy as np
import pytest
from scipy import stats

from gristwright.basics import Prior, Source, Standing
from gristwright.numerics.draws import at_quantile, middles, prior_band, sample

SOURCE = Source("test", Standing.INVENTED)


def prior(name: str, family: str, *arguments: float, low: float = -np.inf, high: float = np.inf) -> Prior:
    return Prior(name, name, "1", family, arguments, low, high, SOURCE)


NORMAL = prior("n", "normal", 10.0, 2.0)
LOG = prior("l", "lognormal", 3.0, 1.5, low=0.1, high=100.0)


def test_same_seed_same_columns_and_another_seed_others():
    first, again, other = (sample([[NORMAL]], [[LOG]], 256, seed) for seed in (1, 1, 2))
    assert all(np.array_equal(first[name], again[name]) for name in first)
    assert not np.array_equal(first["n"], other["n"])


def test_a_parameter_keeps_its_column_when_another_is_added():
    alone = sample([[NORMAL]], [[LOG]], 256)
    more = sample([[NORMAL, prior("m", "uniform", 0.0, 1.0)]], [[LOG], [prior("k", "normal", 0.0, 1.0)]], 256)
    assert np.array_equal(alone["n"], more["n"])
    assert np.array_equal(alone["l"], more["l"])


@pytest.mark.parametrize(
    ("one", "reference"),
    [
        (NORMAL, stats.norm(10.0, 2.0)),
        (LOG, stats.lognorm(np.log(1.5), scale=3.0)),
        (prior("u", "uniform", 2.0, 5.0), stats.uniform(2.0, 3.0)),
        (prior("g", "loguniform", 1.0, 100.0), stats.loguniform(1.0, 100.0)),
        (prior("c", "normal", 0.0, 1.0, low=-1.0, high=2.0), stats.truncnorm(-1.0, 2.0)),
    ],
    ids=lambda x: x.name if isinstance(x, Prior) else "",
)
def test_quantiles_agree_with_scipy(one, reference):
    share = np.array([0.01, 0.05, 0.3, 0.5, 0.8, 0.95, 0.99])
    # The log-normal is cut at 0.1 and 100, far out in its tails: 1e-6 of its mass.
    assert at_quantile(one, share) == pytest.approx(reference.ppf(share), rel=1e-5, abs=1e-9)


def test_middles_are_one_member_and_bands_hold_them():
    assert middles([NORMAL])["n"] == pytest.approx([10.0])
    band = prior_band(NORMAL)
    assert band.low < band.middle < band.high
    assert band.middle == pytest.approx(10.0)
