"""The plan of a proof: more casks show more, faults are named, casks are drawn by lot."""

from __future__ import annotations

import pytest

from gristwright.basics import Refused
from gristwright.casework.plan_proof import FALSE_RATE, Asked, plan_proof, sittings
from gristwright.records.ageing import AgeClaim

CLAIM = AgeClaim(3.0, 6.0, 8.0)


def test_more_casks_show_more_and_lie_no_more() -> None:
    found = plan_proof(Asked(CLAIM, spread_years=0.5, assessors=20), members=512)
    powers = [option.power for option in found.options]
    assert powers[-1] > powers[0]
    assert all(option.false_older <= FALSE_RATE for option in found.options)
    assert all(option.power <= option.power_older for option in found.options)


def test_the_fewest_casks_that_reach_the_power_are_chosen() -> None:
    found = plan_proof(Asked(CLAIM, power=0.6, spread_years=0.4, assessors=30, reads_years=8.0), members=512)
    assert found.chosen is not None
    assert found.chosen.power >= 0.6
    assert all(o.power < 0.6 for o in found.options if o.casks_per_arm < found.chosen.casks_per_arm)


def test_no_trial_is_promised_where_none_is_large_enough() -> None:
    assert plan_proof(Asked(CLAIM, power=0.99), members=256).chosen is None


def test_casks_are_drawn_by_lot_and_codes_are_not_repeated() -> None:
    found = plan_proof(Asked(CLAIM, casks_per_arm=6), members=256)
    assert [arm for _, arm in found.draw].count("arm A") == 6
    assert len({code for _, code in found.codes}) == len(found.codes) == 12 + 12
    assert found.draw != plan_proof(Asked(CLAIM, casks_per_arm=6), members=256, seed=2).draw
    assert found.draw == plan_proof(Asked(CLAIM, casks_per_arm=6), members=256).draw


def test_cost_is_counted_with_the_users_own_prices() -> None:
    one = plan_proof(Asked(CLAIM, casks_per_arm=6, cask_cost=100.0, analysis_cost=10.0, sitting_cost=50.0), members=256)
    assert one.options[0].cost == 100 * 12 + 10 * 24 + 50 * 4
    assert plan_proof(Asked(CLAIM, casks_per_arm=6), members=256).options[0].cost is None
    assert sittings(24, 1) == 4
    assert (one.years, one.years_without_archive) == (3.0, 12.0)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Asked(AgeClaim(6.0, 3.0, 3.0)), "is no claim of greater age"),
        (Asked(CLAIM, ladder_ages=(3.0, 12.0)), "2 ages are no ladder"),
        (Asked(AgeClaim(3.0, 14.0, 16.0)), "lies outside the ages 3 to 12"),
        (Asked(CLAIM, power=1.2), "power: 1.2 is outside 0.5 to 0.99"),
        (Asked(CLAIM, markers=1), "markers: 1 is outside 2 to 12"),
        (Asked(CLAIM, assessors=2), "assessors: 2 is outside 3 to 60"),
    ],
)
def test_faults_are_named(asked: Asked, said: str) -> None:
    with pytest.raises(Refused, match=said):
        plan_proof(asked)
