"""Looks that may stop a dose: the rule is what its chances say, more casks stop more of what does nothing."""

from __future__ import annotations

import pytest

from gristwright.casework.claim.looks import STOPS_TRUE, looks
from gristwright.casework.claim.plan_proof import Asked, cost_of, older_of, plan_proof
from gristwright.evidence.panel.difference import least_correct
from gristwright.records.ageing import AgeClaim

CLAIM = AgeClaim(3.0, 6.0, 8.0)


def test_the_new_spirit_is_told_by_an_exact_duo_trio_test() -> None:
    """69 answers, 42 right: exact binomial, 5 %, three people in ten tell, found in four of five."""
    new = looks(Asked(CLAIM), 6)[0]
    assert (new.years, new.stops_below, new.unit) == (0.0, 42.0, "right answers")
    assert least_correct(69, 0.5, 0.05) == 42
    assert new.stops_true <= 0.2 < new.stops_true + 0.01
    assert new.stops_nothing >= 0.95
    # 69 answers of three samples, twelve assessors, six samples a sitting.
    assert new.sittings == 3


def test_each_year_before_the_last_is_looked_at_and_stops_one_true_dose_in_ten() -> None:
    _, *years = looks(Asked(CLAIM), 6)
    assert [stage.years for stage in years] == [1.0, 2.0]
    assert all(stage.stops_true == STOPS_TRUE for stage in years)
    assert years[0].stops_below < years[1].stops_below < 4.0  # what a lead of four years would stand at
    assert years[0].stops_nothing < years[1].stops_nothing


def test_more_casks_stop_more_of_what_does_nothing() -> None:
    few, many = (looks(Asked(CLAIM), casks)[1] for casks in (3, 24))
    assert many.stops_nothing > few.stops_nothing + 0.05
    assert many.stops_below > few.stops_below


def test_casks_that_differ_less_to_the_panel_stop_sooner() -> None:
    wide, narrow = (looks(Asked(CLAIM, panel_spread_years=spread), 6)[1] for spread in (2.0, 0.2))
    assert narrow.stops_nothing > wide.stops_nothing


def test_a_claim_of_a_year_has_no_look_between() -> None:
    assert len(looks(Asked(AgeClaim(1.0, 3.0, 4.0)), 6)) == 1


def test_a_look_costs_its_sittings_and_nothing_without_a_price() -> None:
    priced = looks(Asked(CLAIM, sitting_cost=400.0), 6)
    assert [stage.cost for stage in priced] == [400.0 * stage.sittings for stage in priced]
    assert all(stage.cost is None for stage in looks(Asked(CLAIM), 6))


def test_the_smallest_trial_of_a_direction_stands_beside_one_of_a_number() -> None:
    """With the wide priors 3:6-8 is shown by no trial of 24 casks, that it is older by a few (docs/ageing.md)."""
    asked = Asked(CLAIM, cask_cost=100.0, analysis_cost=10.0, sitting_cost=50.0)
    plan = plan_proof(asked, members=512)
    assert plan.chosen is None and plan.older is not None
    assert plan.older == next(o for o in plan.options if o.power_older >= 0.8 and o.false_older <= 0.05)
    six = older_of(plan.options, asked, 6)
    assert six is not None and six.casks_per_arm == 6
    # By hand: 12 casks, 6 + 6 + 12 references of four ages = 24 samples, 4 sittings of six.
    assert cost_of(asked, 6) == pytest.approx(12 * 100.0 + 24 * 10.0 + 4 * 50.0)
