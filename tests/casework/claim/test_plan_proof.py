"""The plan of a proof: more casks show more, faults are named, casks are drawn by lot."""

from __future__ import annotations

import pytest

from gristwright.basics import Refused
from gristwright.casework.claim.plan_proof import FALSE_RATE, Asked, plan_proof, sittings
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
    assert len({code for _, code, _ in found.codes}) == len(found.codes) == 12 + 12
    assert found.draw != plan_proof(Asked(CLAIM, casks_per_arm=6), members=256, seed=2).draw
    assert found.draw == plan_proof(Asked(CLAIM, casks_per_arm=6), members=256).draw


@pytest.mark.parametrize("repeats", [1, 2, 4])
def test_each_sitting_holds_arms_and_references_and_no_more_than_six(repeats: int) -> None:
    found = plan_proof(Asked(CLAIM, casks_per_arm=7, repeats=repeats), members=256)
    count = sittings(found.options[0].samples, repeats)
    assert len(found.codes) == found.options[0].samples * repeats
    for sitting in range(1, count + 1):
        served = [name.split()[0] for name, _, number in found.codes if number == sitting]
        assert len(served) <= 6
        assert {"cask", "reference"} <= set(served)


def test_cost_is_counted_with_the_users_own_prices() -> None:
    one = plan_proof(Asked(CLAIM, casks_per_arm=6, cask_cost=100.0, analysis_cost=10.0, sitting_cost=50.0), members=256)
    assert one.options[0].cost == 100 * 12 + 10 * 24 + 50 * 4
    assert plan_proof(Asked(CLAIM, casks_per_arm=6), members=256).options[0].cost is None
    assert sittings(24, 1) == 4
    assert (one.years, one.years_without_archive) == (3.0, 12.0)


def test_every_fault_is_named_at_once() -> None:
    with pytest.raises(Refused) as refused:
        plan_proof(Asked(AgeClaim(6.0, 3.0, 3.0), ladder_ages=(3.0, -6.0, 8.0), power=2.0, cask_cost=-1.0))
    assert len(refused.value.problems) == 4


@pytest.mark.parametrize("rate", [0.02, 0.05, 0.2])
def test_false_older_stays_under_the_rate_that_was_stated(rate: float) -> None:
    found = plan_proof(Asked(CLAIM, casks_per_arm=8, false_rate=rate, spread_years=0.5), members=1024)
    assert found.options[0].false_older <= rate
    assert found.false_rate == rate


def test_a_laxer_rate_shows_more() -> None:
    strict, lax = (
        plan_proof(Asked(CLAIM, casks_per_arm=8, false_rate=rate), members=512).options[0] for rate in (0.01, 0.2)
    )
    assert lax.power > strict.power and lax.half_width_years < strict.half_width_years


def test_where_no_trial_is_large_enough_it_is_said_what_would_help() -> None:
    found = plan_proof(Asked(CLAIM, power=0.95), members=512)
    helped = dict(found.levers)
    assert found.chosen is None and len(helped) == 6
    assert helped["casks that differ half as much to the panel"] > found.options[-1].power
    assert [power for _, power in found.levers] == sorted(helped.values(), reverse=True)
    assert plan_proof(Asked(CLAIM, casks_per_arm=6), members=256).levers == ()


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Asked(AgeClaim(6.0, 3.0, 3.0)), "is no claim of greater age"),
        (Asked(CLAIM, ladder_ages=(3.0, 12.0)), "2 ages are no ladder"),
        (Asked(AgeClaim(3.0, 14.0, 16.0)), "lies outside the ages 3 to 12"),
        (Asked(CLAIM, ladder_ages=(3.0, -6.0, 8.0)), "-6 is no age of a cask"),
        (Asked(CLAIM, false_rate=0.5), "false rate: 0.5 is outside 0.01 to 0.2"),
        (Asked(CLAIM, cask_cost=-1.0), "cask cost: -1 is outside"),
        (Asked(CLAIM, panel_spread_years=20.0), "panel spread: 20 is outside"),
        (Asked(CLAIM, power=1.2), "power: 1.2 is outside 0.5 to 0.99"),
        (Asked(CLAIM, markers=1), "markers: 1 is outside 2 to 12"),
        (Asked(CLAIM, assessors=2), "assessors: 2 is outside 3 to 60"),
    ],
)
def test_faults_are_named(asked: Asked, said: str) -> None:
    with pytest.raises(Refused, match=said):
        plan_proof(asked)
