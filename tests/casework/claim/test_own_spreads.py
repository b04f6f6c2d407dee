"""A spread that the house gives is the house's: no longer called a wide prior, in words, assumptions or standing."""

from __future__ import annotations

import pytest

from gristwright.basics import Band, Standing
from gristwright.casework.claim import Asked, plan_proof
from gristwright.documents.proof_plan import plan_view
from gristwright.records.ageing import AgeClaim

CLAIM = AgeClaim(3.0, 6.0, 8.0)
NAMES = {"spread_years": "ageing.marker_spread_y", "panel_spread_years": "ageing.panel_cask_spread_y"}


@pytest.mark.parametrize("given", [("spread_years",), ("panel_spread_years",), ("spread_years", "panel_spread_years")])
def test_a_given_spread_is_measured(given: tuple[str, ...]) -> None:
    made = plan_proof(Asked(CLAIM, casks_per_arm=4, **dict.fromkeys(given, 0.6)), members=64)  # type: ignore[arg-type]
    standing = {one.name: (one.standing, one.band) for one in made.assumptions}
    for option, name in NAMES.items():
        if option in given:
            assert standing[name] == (Standing.MEASURED, Band(0.6, 0.6, 0.6))
        else:
            assert standing[name][0] == Standing.ESTIMATE
    view = plan_view(made)
    assert "Spreads between casks and assessors are wide priors" not in view.reading
    assert "(0.6 years)" in view.reading and "house's own figure" in view.reading
    shown = {one.name: (one.standing, one.source) for one in view.assumed.assumptions}
    assert all(shown[NAMES[option]] == ("measured", "the house's own casks, as given") for option in given)


def test_without_one_both_are_wide_priors() -> None:
    made = plan_proof(Asked(CLAIM, casks_per_arm=4), members=64)
    assert "Spreads between casks and assessors are wide priors, not findings." in plan_view(made).reading
    assert all(one.standing == Standing.ESTIMATE for one in made.assumptions)


def test_what_was_given_is_not_asked_for_again() -> None:
    made = plan_proof(Asked(CLAIM, power=0.99, spread_years=5.0), members=64)
    answer = plan_view(made).answer
    assert made.chosen is None and "(--panel-spread)" in answer and "--spread," not in answer
    both = plan_view(plan_proof(Asked(CLAIM, power=0.99, spread_years=5.0, panel_spread_years=3.0), members=64))
    assert "learn their spread" not in both.answer
    assert "how differently assessors see and score them is a wide prior" in both.reading
