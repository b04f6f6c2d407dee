"""Loss in four conventions, the humidity that keeps strength, the legal floor."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Refused
from gristwright.numerics.draws import middles
from gristwright.records.cask import CaskFill, CaskKind, Climate, MaturedCask
from gristwright.reference.load import priors
from gristwright.stages.cask import ledger, model


def aged(humidity: float, months: int = 144, entry_abv_pct: float = 63.5, degC: float = 10.0) -> MaturedCask:
    fill = CaskFill(CaskKind("refill", 200.0, fill_number=3), entry_abv_pct, 200.0, months)
    return model.mature(fill, Climate("steady", (degC,) * 12, (humidity,) * 12), middles(priors("cask")))


def test_published_pair_of_conventions() -> None:
    """Baldwin & Andreasen 1974, abstract: 36 % in 12 years is 3.0 % of the original a year; 3.65 % compounded."""
    left = np.array([0.64])
    assert ledger.of_original_pct(left, 12.0)[0] == pytest.approx(3.0)
    assert ledger.of_remaining_pct(left, 12.0)[0] == pytest.approx(3.651, abs=5e-4)


def test_one_year_is_the_same_in_both() -> None:
    left = np.array([0.98])
    assert ledger.of_original_pct(left, 1.0) == pytest.approx(ledger.of_remaining_pct(left, 1.0))


def test_a_humid_store_hides_half_the_alcohol_loss_in_the_volume() -> None:
    loss = ledger.yearly_loss(aged(0.85))
    assert loss.alcohol_of_original_pct[0] > 1.5 * loss.bulk_of_original_pct[0]
    assert loss.alcohol_of_remaining_pct[0] > loss.alcohol_of_original_pct[0]
    assert loss.bulk_of_remaining_pct[0] > loss.bulk_of_original_pct[0]


def test_no_yearly_loss_without_a_month() -> None:
    with pytest.raises(Refused, match="at least one month"):
        ledger.yearly_loss(aged(0.7, months=0))


@pytest.mark.parametrize("abv_pct", [52.0, 61.0, 70.0])
@pytest.mark.parametrize("degC", [10.0, 25.0])
def test_strength_stays_at_the_neutral_humidity(abv_pct: float, degC: float) -> None:
    draws = middles(priors("cask"))
    ratio = draws["cask.water_permeance"] / draws["cask.ethanol_permeance"]
    neutral = float(ledger.strength_neutral_humidity(np.array([abv_pct]), degC, ratio)[0])
    fall = [aged(neutral + step, 12, abv_pct, degC).abv_pct[0] - abv_pct for step in (-0.05, 0.0, 0.05)]
    assert fall[0] > 0.02
    assert fall[1] == pytest.approx(0.0, abs=0.01)
    assert fall[2] < -0.02


def test_first_month_below_the_floor() -> None:
    abv = np.array([[41.0, 41.0, 39.0], [40.0, 40.5, 38.0], [39.9, 40.1, 37.0]])
    matured = replace(aged(0.7, months=2), month_abv_pct=abv)
    assert ledger.first_month_below(matured).tolist() == [2.0, np.inf, 0.0]
