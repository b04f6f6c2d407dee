"""The balance of a beer column and a doubler."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.records.plant import ColumnDoubler
from gristwright.records.streams import Wash
from gristwright.stages.still import column_doubler

COLUMN = ColumnDoubler(2000.0, 60.0, 68.0)


def beer(abv_pct: float) -> Wash:
    one = np.array([1.0])
    lpa = 380.0
    return Wash(100.0 * lpa / abv_pct * one, abv_pct * one, lpa * one, 0 * one, 0.998 * one, 85 * one)


def draws(stillage_mass_pct: float = 0.02, handling_pct: float = 0.35) -> dict[str, np.ndarray]:
    return {
        "still.stillage_ethanol_mass_pct": np.array([stillage_mass_pct]),
        "still.handling_loss_pct": np.array([handling_pct]),
    }


@given(st.floats(5.0, 12.0), st.floats(0.003, 0.15), st.floats(0.0, 1.5))
def test_beer_is_spirit_and_losses(abv_pct, stillage, handling):
    spirit = column_doubler.distil(beer(abv_pct), COLUMN, draws(stillage, handling))
    total = spirit.lpa_per_t + spirit.pot_ale_lpa_per_t + spirit.handling_lpa_per_t + spirit.spent_lees_lpa_per_t
    assert total == pytest.approx(380.0, rel=1e-9)


def test_bottoms_of_a_spirit_column_hold_about_the_published_share():
    """At most 0.02 % by mass in the bottoms is 0.3-0.6 % of the ethanol: Meirelles et al., book chapter on continuous
    spirit columns (web copy). The prior was set on this, so it tests the balance and not the prior."""
    spirit = column_doubler.distil(beer(8.0), COLUMN, draws(0.02, 0.0))
    assert 0.2 < 100.0 * float(spirit.pot_ale_lpa_per_t[0]) / 380.0 < 0.6


def test_a_weaker_beer_loses_relatively_more():
    strong, weak = (column_doubler.distil(beer(abv), COLUMN, draws()).lpa_per_t[0] for abv in (10.0, 6.0))
    assert strong > weak


def test_a_doubler_is_one_stage_at_most():
    (fault,) = column_doubler.check(ColumnDoubler(2000.0, 60.0, 88.0))
    assert "88 %vol" in fault.sentence()
    assert column_doubler.check(COLUMN) == []


def test_a_head_outside_the_balance():
    (fault,) = column_doubler.check(ColumnDoubler(2000.0, 90.0, 92.0))
    assert "40-80" in fault.sentence()
