"""Reduction by mass, the loss of handling, casks too weak for the bottle."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.basics import FloatArray, Refused
from gristwright.numerics.draws import sample
from gristwright.quantities import alcoholometry
from gristwright.records.streams import Bottled
from gristwright.reference.load import priors
from gristwright.stages.bottle import limits, model


def one(
    lpa: float = 400.0, abv: float = 60.0, bottle_abv: float = 46.0, lost: float = 0.01, size: float = 0.7
) -> Bottled:
    return model.bottle(
        np.array([lpa]), np.array([abv]), bottle_abv, size, {"bottle.handling_loss_share": np.array([lost])}
    )


def test_alcohol_in_is_alcohol_out_and_lost() -> None:
    draws = sample(priors("bottle"), 64)
    lpa, abv = np.linspace(250.0, 420.0, 64), np.linspace(50.0, 63.0, 64)
    bottled = model.bottle(lpa, abv, 46.0, 0.7, draws)
    assert bottled.lpa_per_t + bottled.lost_lpa_per_t == pytest.approx(lpa, rel=1e-9)
    assert bottled.bottles_per_t * 0.7 * 0.46 == pytest.approx(bottled.lpa_per_t, rel=1e-12)


def test_masses_add_and_volumes_do_not() -> None:
    bottled = one(lost=0.0)
    spirit_L, filled_L = 400.0 / 0.60, bottled.bottles_per_t[0] * 0.7
    masses = (
        spirit_L * alcoholometry.density_kg_m3(60.0)
        + bottled.water_L_per_t[0] * alcoholometry.density_kg_m3(0.0)
        - filled_L * alcoholometry.density_kg_m3(46.0)
    )
    assert masses == pytest.approx(0.0, abs=1e-6)
    assert spirit_L + bottled.water_L_per_t[0] > filled_L


def test_worked_example_of_the_page() -> None:
    """docs/bottle.md, worked by hand from OIML R 22: 909.11 and 937.73 kg/m3, mass shares 0.52088 and 0.38716."""
    bottled = one()
    assert bottled.water_L_per_t[0] == pytest.approx(209.7, abs=0.1)
    assert bottled.bottles_per_t[0] == pytest.approx(1229.8, abs=0.1)
    assert bottled.lost_lpa_per_t[0] == pytest.approx(4.0)


def test_cask_strength_needs_no_water() -> None:
    bottled = one(abv=60.0, bottle_abv=60.0)
    assert bottled.water_L_per_t[0] == pytest.approx(0.0, abs=1e-9)


def weak_and_strong() -> FloatArray:
    return np.array([39.0, 45.0, np.nan, 60.0])


def test_weak_members_are_left_out_and_counted() -> None:
    draws = {"bottle.handling_loss_share": np.full(4, 0.01)}
    bottled = model.bottle(np.full(4, 300.0), weak_and_strong(), 40.0, 0.7, draws)
    columns = (bottled.lpa_per_t, bottled.lost_lpa_per_t, bottled.bottles_per_t, bottled.water_L_per_t)
    for column in columns:
        assert np.isnan(column).tolist() == [True, False, True, False]
    assert limits.share_below(weak_and_strong(), 40.0) == 0.25
    (problem,) = limits.bottle_problems(weak_and_strong(), 40.0, 0.7)
    assert problem.warning
    assert "25.0 %" in problem.sentence()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"abv": 39.0, "bottle_abv": 40.0}, "39.0 %vol at most is below the bottle's 40 %vol"),
        ({"bottle_abv": 0.46}, "0.46 %vol is outside 30 to 95"),
        ({"bottle_abv": float("nan")}, "nan %vol"),
        ({"size": 70.0}, "70 L is outside 0.02 to 5 L.*0.7 for 70 cL"),
    ],
)
def test_refused(changes: dict[str, float], words: str) -> None:
    with pytest.raises(Refused, match=words):
        one(**changes)


def test_members_that_failed_before_stay_out_without_a_word() -> None:
    assert limits.bottle_problems(np.array([np.nan, 60.0]), 40.0, 0.7) == []


def test_below_the_legal_floor_is_warned() -> None:
    (problem,) = limits.bottle_problems(np.array([60.0]), 37.5, 0.7)
    assert problem.warning
    assert "below 40 %vol" in problem.sentence()
