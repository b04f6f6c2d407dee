"""A bill on its own."""

import dataclasses

import pytest

from gristwright import casework
from gristwright.basics import Refused
from gristwright.records.bill import Bill, Share
from scenario import MEMBERS, lots, sheet


def test_forecast_and_check_agree():
    assert casework.forecast(sheet(), lots(), members=2048) == casework.check(sheet(), lots())


def test_without_prices_there_is_no_cost_and_no_fault():
    made = casework.forecast(dataclasses.replace(sheet(), prices={}), lots(), members=MEMBERS)
    assert "cost_per_lpa" not in made.result.figures


def test_all_faults_of_bill_and_category_together():
    wrong = dataclasses.replace(
        sheet(), bill=Bill("w", (Share("PD-1", 9000), Share("NO", 500))), categories=("EU_WISKY",)
    )
    with pytest.raises(Refused) as caught:
        casework.forecast(wrong, lots(), members=MEMBERS)
    text = str(caught.value)
    assert "95 %" in text and "'NO'" in text and "EU_WHISKY" in text


def test_dark_malt_lowers_yield_about_as_the_published_bound():
    """Coghe et al. 2005, J. Inst. Brew. 111:51-60: with 50 % of the darkest malt the wort holds about half the
    fermentable sugar of all-pale wort."""
    roast = dataclasses.replace(lots()[2], lot_id="RM", material="roasted_malt", analyses=())
    half = Bill("half", (Share("PD-1", 5000), Share("RM", 5000)))
    pale = casework.forecast(sheet(), lots(), members=MEMBERS).result.figures["psy_lpa_per_t"].band.middle
    dark = casework.forecast(dataclasses.replace(sheet(), bill=half), [*lots(), roast], members=MEMBERS)
    assert dark.result.figures["psy_lpa_per_t"].band.middle / pale == pytest.approx(0.5, abs=0.06)
