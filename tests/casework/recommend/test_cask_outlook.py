"""What the cask of a plan does: the ledger's cask told by year, and what the dossier says of it."""

from __future__ import annotations

import numpy as np
import pytest

from casework.full import answered_in_full
from gristwright.casework.bench.setting_up import set_up
from gristwright.casework.recommend.cask_outlook import LOOKED_YEARS, cask_outlook
from gristwright.casework.stock.ages import floor_abv_pct
from gristwright.documents.cask_part import cask_view
from gristwright.documents.dossier_view import dossier_view
from scenario import MEMBERS, enquiry, lots

ASKED = enquiry()
BENCH = set_up(lots(), dict.fromkeys((lot.lot_id for lot in lots()), 500.0), ASKED.plant, ASKED.cask, [], MEMBERS)
FOUND = cask_outlook(BENCH)


def test_the_last_year_is_the_cask_of_the_ledger() -> None:
    last, matured = FOUND.years[-1], BENCH.matured
    assert last.years == BENCH.cask.years
    left = 100.0 * matured.lpa_L / matured.filled_lpa_L
    assert last.alcohol_left_pct.middle == pytest.approx(float(np.median(left)), rel=1e-3)
    assert last.abv_pct.low < last.abv_pct.middle < last.abv_pct.high
    rows = {row.key: row for row in answered_in_full().recommendation.present.litres.rows}
    gone = rows["evaporation"].reference + rows["wood"].reference
    assert last.alcohol_left_pct.middle == pytest.approx(100.0 * (1.0 - gone / rows["new_spirit"].reference), abs=1.0)


def test_years_fall_and_the_four_losses_are_in_order() -> None:
    left = [year.alcohol_left_pct.middle for year in FOUND.years]
    assert left == sorted(left, reverse=True)
    assert FOUND.losses is not None
    assert FOUND.losses.alcohol_of_remaining.middle > FOUND.losses.alcohol_of_original.middle
    assert FOUND.losses.bulk_of_remaining.middle > FOUND.losses.bulk_of_original.middle


def test_the_floor_is_that_of_the_law_and_is_looked_for_beyond_the_plan() -> None:
    """Regulation (EU) 2019/787, Annex I, 2(b): 40 %vol."""
    assert FOUND.floor_abv_pct == floor_abv_pct() == 40.0
    assert 0.0 <= FOUND.floor_chance <= 1.0
    if FOUND.floor_years is not None:
        assert BENCH.cask.years < FOUND.floor_years.middle <= LOOKED_YEARS


def test_the_ledger_and_the_dossier_name_what_they_rest_on() -> None:
    made = answered_in_full()
    row = next(row for row in made.recommendation.present.litres.rows if row.key == "evaporation")
    assert {"cask.ethanol_permeance", "cask.store_factor", "cask.soak_years", "input.cask"} <= set(row.rests_on)
    assert {"cask.store_factor", "cask.leak_factor", "cask.joint_share"} <= {a.name for a in made.assumptions}
    view = dossier_view(made).cask
    assert view.years[-1].strength.rests_on
    assert [loss.key for loss in view.losses] == list(vars(FOUND.losses))
    assert "40 %vol" in view.floor.says
    assert "no whisky faster" in cask_view(FOUND).note
