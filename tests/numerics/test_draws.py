"""Draws keep their column, follow their prior, and come again with the same seed."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from gristwright.basics import Prior, Source, Standing
from gristwright.numerics.draws import at_quantile, middles, prior_band, sample, stratified

SOURCE = Source("test", Standing.INVENTED)


def prior(name: str, family: str, *arguments: float, low: float = -np.inf, high: float = np.inf) -> Prior:
    return Prior(name, name, "1", family, arguments, low, high, SOURCE)


NORMAL = prior("n", "normal", 10.0, 2.0)
LOG = prior("l", "lognormal", 3.0, 1.5, low=0.1, high=100.0)


def test_same_seed_same_columns_and_another_seed_others():
    first, again, other = (sample([NORMAL, LOG], 256, seed) for seed in (1, 1, 2))
    assert all(np.array_equal(first[name], again[name]) for name in first)
    assert not np.array_equal(first["n"], other["n"])


def test_neither_order_nor_another_prior_moves_a_column():
    alone = sample([NORMAL, LOG], 256)
    more = sample([prior("m", "uniform", 0.0, 1.0), LOG, prior("k", "normal", 0.0, 1.0), NORMAL], 256)
    assert all(np.array_equal(alone[name], more[name]) for name in alone)


def test_a_lot_under_another_short_name_keeps_its_column():
    one, other = (replace(prior(name, "normal", 10.0, 2.0), drawn_as="lot|maker|7") for name in ("a", "b"))
    drawn = sample([one, other, prior("c", "normal", 10.0, 2.0)], 256)
    assert np.array_equal(drawn["a"], drawn["b"])
    assert not np.array_equal(drawn["a"], drawn["c"])


@pytest.mark.parametrize("members", [7, 256, 2048])
def test_a_column_has_one_share_in_each_equal_part(members):
    share = stratified("n", members, 1)
    assert np.array_equal(np.sort(np.floor(share * members)), np.arange(members))
    assert share.min() > 0.0 and share.max() < 1.0


def test_columns_of_different_names_are_no_more_alike_than_chance():
    """40 names, 780 pairs: of independent orders the correlation has a standard deviation of 1/sqrt(2047)."""
    columns = np.stack([stratified(f"name {k}", 2048, 1) for k in range(40)])
    pairs = np.corrcoef(columns)[np.triu_indices(40, 1)]
    assert np.abs(pairs).max() < 4.5 / np.sqrt(2047)
    assert pairs.std() == pytest.approx(1.0 / np.sqrt(2047), rel=0.1)


def test_as_many_priors_as_wanted():
    assert len(sample([prior(f"p{k}", "normal", 0.0, 1.0) for k in range(3000)], 8)) == 3000


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
