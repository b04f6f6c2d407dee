"""Litres against years, and money: nothing is shown without evidence, and the arithmetic holds by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Band, Refused
from gristwright.casework.claim.give_and_gain import NONE_SHOWN, arms_of_offers, give_and_gain, must_be_true, spread
from gristwright.charts.give_and_gain import plane_chart
from gristwright.economics.release import (
    cask_cost_per_lpa,
    cost_at_release_per_lpa,
    parts_of_a_bottled_litre,
    years_to_save,
)
from gristwright.records.ageing import ArmGrist
from gristwright.records.give_gain import ReleasePrices
from programme import answered as programme_answered
from programme import of_arm
from scenario import answered, enquiry, lots

PRICES = ReleasePrices(cask_price=120.0, fills=3.0, rent_per_cask_year=14.0, interest_pct_per_year=6.0)


def test_without_evidence_nothing_is_shown() -> None:
    found = give_and_gain(answered(), enquiry(), PRICES)
    assert all(point.gained_years is None for point in found.points)
    assert all(point.evidence.startswith(NONE_SHOWN) for point in found.points)
    assert all("Shown: none." in cost.must_be_true for cost in found.costs[1:])
    assert plane_chart(found) is None


def test_evidence_stands_on_the_plane_and_sweetness_does_not() -> None:
    rec = answered()
    names = [offer.result.bill.name for offer in rec.offers]
    read = {names[0]: of_arm(programme_answered(), "A"), names[1]: of_arm(programme_answered(), "B")}
    found = give_and_gain(rec, enquiry(), PRICES, read)
    assert found.points[0].gained_years is None
    assert "Higher sweetness" in found.points[0].evidence
    assert found.points[1].gained_years is not None
    assert "of casks of 3 years, which does not settle it" in found.costs[2].must_be_true
    drawn = plane_chart(found)
    assert drawn is not None
    assert [point["offer"] for point in drawn["data"]["values"]] == ["B"]


def test_what_is_given_up_is_the_paired_change() -> None:
    rec = answered()
    change = rec.offers[0].changes["lpa_per_t"].band
    point = give_and_gain(rec, enquiry()).points[0]
    assert point.given_up_lpa_per_t == Band(-change.high, -change.middle, -change.low)


def test_dearer_spirit_costs_more_at_release_and_needs_years() -> None:
    found = give_and_gain(answered(), enquiry(), PRICES)
    for cost in found.costs[1:]:
        assert cost.more_per_bottled_L is not None and cost.needed_years is not None
        assert cost.more_per_bottled_L.low > 0.0
        assert cost.needed_years.low > 0.0


def test_years_to_save_by_hand() -> None:
    """4.00 and 5.00 a litre, no rent, 25 % interest, no loss: one year of interest makes up the difference."""
    one = np.ones(1)
    needed = years_to_save(5.0 * one, 4.0 * one, 0.0 * one, 3.0, 0.25, 0.0 * one)
    assert needed[0] == pytest.approx(1.0, abs=1e-9)
    assert years_to_save(4.0 * one, 5.0 * one, 0.0 * one, 3.0, 0.25, 0.0 * one)[0] == pytest.approx(-1.0, abs=1e-9)
    assert np.isinf(years_to_save(5.0 * one, 4.0 * one, 0.0 * one, 3.0, 0.0, 0.0 * one)[0])


def test_whole_years_are_the_sum_of_rents() -> None:
    years, r = 7, 0.05
    rents = sum(0.3 * (1 + r) ** (years - k) for k in range(1, years + 1))
    by_hand = (2.0 * (1 + r) ** years + rents) / 0.98**years
    found = cost_at_release_per_lpa(np.array(2.0), np.array(0.3), np.array(years), r, np.array(0.02))
    assert float(found) == pytest.approx(by_hand)
    assert cask_cost_per_lpa(127.0, 1.0, 200.0, 63.5) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("needed", "gained", "said"),
    [
        (Band(0.2, 0.3, 0.4), Band(0.5, 1.0, 1.5), "which is enough"),
        (Band(2.0, 2.5, 3.0), Band(0.5, 1.0, 1.5), "which is too little"),
        (Band(0.8, 1.0, 1.2), Band(0.5, 1.0, 1.5), "which does not settle it"),
        (Band(-2.0, -1.0, -0.5), None, "it need save no year"),
        (Band(30.0, np.inf, np.inf), None, "never pays by age"),
    ],
)
def test_what_must_be_true_is_said(needed: Band, gained: Band | None, said: str) -> None:
    assert said in must_be_true("bill", 3.0, needed, gained)


def test_a_band_is_spread_through_its_own_ends() -> None:
    share = np.array([0.05, 0.5, 0.95])
    assert spread(Band(1.0, 2.0, 4.0), share) == pytest.approx([1.0, 2.0, 4.0])


def test_prices_that_cannot_be_are_refused() -> None:
    wrong = replace(PRICES, interest_pct_per_year=600.0, rent_per_cask_year=-1.0)
    with pytest.raises(Refused) as refused:
        give_and_gain(answered(), enquiry(), wrong)
    assert [problem.where for problem in refused.value.problems] == ["rent per cask year", "interest"]


def test_no_prices_no_money() -> None:
    found = give_and_gain(answered(), enquiry())
    assert found.points and found.costs == () and found.evaporation is None


def test_an_arm_stands_for_the_offer_of_its_grist_and_no_other() -> None:
    """One per cent of the grist apart is the same grist, two are another; the age nearest to the release is taken."""
    rec, names = answered(), [offer.result.bill.name for offer in answered().offers]
    first = rec.offers[0].result.bill
    types = {lot.lot_id: lot.material for lot in lots()}
    parts = {types[share.lot_id]: share.parts for share in first.shares}
    (pale, much), (dark, little) = sorted(parts.items(), key=lambda item: -item[1])
    arm = of_arm(programme_answered(), "B")
    old = replace(arm, years=4.5)
    for moved, wanted in ((0, {names[0]: old}), (100, {names[0]: old}), (200, {})):
        grist = ArmGrist("B", ((pale, much + moved), (dark, little - moved)))
        assert arms_of_offers(rec.offers, [arm, old], [grist], lots(), 5.0) == wanted


def test_the_parts_of_a_litre_add_up_by_hand() -> None:
    """4.60 paid at filling, rent 0.15, 6 %, 2 %, 10 years is 12.502 a litre of pure alcohol; at 46 %vol 5.7509."""
    parts = parts_of_a_bottled_litre({"malt": 3.0, "cask": 1.6}, 0.15, 10.0, 0.06, 0.02, 46.0, 0.01)
    assert sum(parts.values()) == pytest.approx(12.5018 * 0.46 / 0.99, abs=2e-4)
    assert parts["rent"] == pytest.approx(0.15 * 10 * 0.46)
    assert parts["interest"] == pytest.approx((4.6 * 0.790848 + 1.977119 - 1.5) * 0.46, abs=1e-5)
    nothing = parts_of_a_bottled_litre({"malt": 3.0}, 0.0, 10.0, 0.0, 0.0, 46.0, 0.0)
    assert nothing == pytest.approx({"malt": 1.38, "rent": 0.0, "interest": 0.0, "evaporation and bottling": 0.0})


def test_energy_is_paid_by_the_tonne_so_a_bill_with_fewer_litres_pays_more() -> None:
    with_energy = replace(PRICES, energy_per_t=40.0)
    costs = give_and_gain(answered(), enquiry(), with_energy).costs
    for cost, bill in zip(costs, [answered().present, *[o.result for o in answered().offers]], strict=True):
        litres = bill.figures["lpa_per_t"].band.middle
        energy = dict(cost.parts)["energy"] / (enquiry().cask.bottle_abv_pct / 100.0)
        assert energy == pytest.approx(40.0 / litres, rel=0.01)
    before = give_and_gain(answered(), enquiry(), PRICES).costs[-1].more_per_bottled_L
    after = costs[-1].more_per_bottled_L
    assert before is not None and after is not None and after.middle > before.middle


def test_evaporation_is_the_customers_own_else_the_forecast_else_wide() -> None:
    own = replace(PRICES, evaporation_low_pct_per_year=2.0, evaporation_high_pct_per_year=2.5)
    forecast = Band(1.4, 2.2, 3.6)
    assert give_and_gain(answered(), enquiry(), own, None, forecast).evaporation == Band(2.0, 2.25, 2.5)
    assert give_and_gain(answered(), enquiry(), PRICES, None, forecast).evaporation == forecast
    assert give_and_gain(answered(), enquiry(), PRICES).evaporation == Band(1.0, 2.0, 3.0)
    with pytest.raises(Refused, match="Give low and high, or neither"):
        give_and_gain(answered(), enquiry(), replace(PRICES, evaporation_low_pct_per_year=2.0))
