"""A bill's markers in its own house: strength and years of its cask, its cut, its litres; or why there are none."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gristwright import casework
from gristwright.basics import Refused
from gristwright.casework.bench import Forecast
from gristwright.files.certificates import read_lots
from gristwright.records.bill import Bill, Share
from gristwright.records.lot import Analysis, Lot
from gristwright.records.markers_through import MarkerAmount
from gristwright.records.plant import ColumnDoubler
from scenario import answered, lots, sheet

MEMBERS = 256
ALL = {
    "peated": Lot("PE", "peated_malt", analyses=(Analysis("phenols_mg_per_kg", 48.0, "mg/kg", "as is", "HPLC"),)),
    "black": Lot("BK", "black_malt"),
    "rye": Lot("RY", "rye_malt"),
    "cherry": Lot("CH", "wheat_malt", analyses=(Analysis("phenols_mg_per_kg", 9.0, "mg/kg", "as is", "HPLC"),)),
}


def made(shares: dict[str, float], **plant: object) -> Forecast:
    """A bill of these lots over the pale malt of the invented house."""
    rest = round(100.0 - sum(shares.values()), 2)
    parts = [Share(ALL[name].lot_id, round(100 * pct)) for name, pct in shares.items()]
    bill = Bill("asked", (Share("PD-1", round(100 * rest)), *parts))
    asked = sheet()
    house = replace(asked.plant, **plant)  # type: ignore[arg-type]
    given = [lot for lot in lots() if lot.lot_id == "PD-1"] + [ALL[name] for name in shares]
    return casework.forecast(replace(asked, bill=bill, plant=house, prices={}, currency=""), given, members=MEMBERS)


def by_name(forecast: Forecast) -> dict[str, MarkerAmount]:
    return {one.marker: one for one in forecast.result.markers}


def test_an_offer_and_todays_bill_are_followed_in_the_same_house() -> None:
    answer = answered()
    assert {one.marker for one in answer.present.markers} == {"methylbutanals"}
    for offer in answer.offers:
        held = {one.marker: one for one in offer.result.markers}
        assert held["methylbutanals"].against_today is not None
        assert held["methylbutanals"].against_today.low > 1.0
        assert held["maltol"].verdict == "does_not_pass"
        assert held["furfural"].verdict == "unknown"
    (strength,) = {one.spirit_abv_pct for one in answer.present.markers}
    assert strength == 63.5


def test_heavy_peat_is_likely_felt_and_says_against_what() -> None:
    held = by_name(made({"peated": 50.0}))
    assert held["guaiacol"].verdict == "likely_felt"
    assert held["guaiacol"].threshold is not None and held["guaiacol"].threshold.standing == "from memory"
    assert held["phenol"].verdict == "unknown"
    assert held["phenols"].lots == ("PE",)


def test_black_malt_is_for_the_customers_own_trial() -> None:
    held = by_name(made({"black": 4.0}))
    assert held["pyrazines"].verdict == "unknown" and held["pyrazines"].spirit_ug_per_L is not None


def test_the_clove_of_rye_has_an_amount_and_no_threshold() -> None:
    held = by_name(made({"rye": 25.0}))
    assert held["vinylguaiacol"].lots == ("RY",) and held["vinylguaiacol"].threshold is None
    assert held["vinylguaiacol"].verdict == "unknown"


def test_a_smoke_without_a_type_is_asked_for_and_stops_nothing() -> None:
    held = by_name(made({"cherry": 20.0}))
    assert held["phenols"].spirit_ug_per_L is None and "not said what" in held["phenols"].why_none
    assert held["vinylguaiacol"].spirit_ug_per_L is not None


def test_a_stronger_heart_ends_earlier_and_brings_less_smoke() -> None:
    stills = sheet().plant.pot_stills
    assert stills is not None
    late, early = (
        by_name(made({"peated": 50.0}, pot_stills=replace(stills, heart_abv_pct=heart)))["phenol"]
        for heart in (68.0, 72.0)
    )
    assert late.spirit_ug_per_L is not None and early.spirit_ug_per_L is not None
    assert late.spirit_ug_per_L.middle > 2.0 * early.spirit_ug_per_L.middle


def test_a_cut_that_is_stated_counts_instead_of_the_strength_of_the_heart() -> None:
    stills = sheet().plant.pot_stills
    assert stills is not None
    late, early = (
        by_name(made({"peated": 50.0}, pot_stills=replace(stills, hearts_end_abv_pct=end)))["phenol"]
        for end in (56.0, 66.0)
    )
    assert late.spirit_ug_per_L is not None and early.spirit_ug_per_L is not None
    # The slope of the batch calculation (derived) between 56 and 66 %vol.
    assert late.spirit_ug_per_L.middle / early.spirit_ug_per_L.middle == pytest.approx(2.08, rel=0.05)


def test_hearts_that_end_stronger_than_they_are_together_are_refused() -> None:
    stills = sheet().plant.pot_stills
    assert stills is not None
    with pytest.raises(Refused, match="no weaker than the heart together"):
        made({"peated": 50.0}, pot_stills=replace(stills, hearts_end_abv_pct=70.0))


@pytest.mark.parametrize("heart", [74.0, 79.0])
def test_a_heart_outside_the_known_cuts_has_no_amount(heart: float) -> None:
    stills = sheet().plant.pot_stills
    assert stills is not None
    held = by_name(made({"peated": 50.0}, pot_stills=replace(stills, heart_abv_pct=heart)))
    assert held["phenol"].spirit_ug_per_L is None and "outside the cuts" in held["phenol"].why_none


def test_a_column_has_no_amount_for_its_shares_are_not_known() -> None:
    held = by_name(made({"rye": 20.0}, pot_stills=None, column=ColumnDoubler(1000.0)))
    assert all(one.spirit_ug_per_L is None for one in held.values())
    assert "this house has a column" in held["vinylguaiacol"].why_none


def test_a_lot_file_is_read_for_its_smoke(tmp_path: Path) -> None:
    file = tmp_path / "lots.csv"
    file.write_text("lot,material,phenols [mg/kg]\nX-1,peated malt,30\n", encoding="utf-8")
    (lot,) = read_lots(file).accepted()
    bill = Bill("asked", (Share("PD-1", 8000), Share("X-1", 2000)))
    given = [*(one for one in lots() if one.lot_id == "PD-1"), lot]
    asked = replace(sheet(), bill=bill, prices={}, currency="")
    held = by_name(casework.forecast(asked, given, members=MEMBERS))
    assert held["phenols"].steps[0].amount.middle == pytest.approx(6.0)
