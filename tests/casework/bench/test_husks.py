"""Husks in a bill: they bring nothing to the wort, go in with the malt, and are no grain to the law.

Arithmetic: what gives no starch and no extract takes its share of the litres. 1 to 5 % are common practice.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from gristwright import casework
from gristwright.basics import Refused, Verdict
from gristwright.casework.beer import brew
from gristwright.records.bill import Bill
from gristwright.records.lot import Lot
from gristwright.records.plant import Plant
from gristwright.stages.grist.materials import materials
from houses import LOTS, bill, brewhouse, enquiry, sheet, tun, whole_mash

HUSKS = ("OH_1", "RH_1")


def litres(made: Bill, plant: Plant) -> float:
    return casework.forecast(sheet(made, plant), LOTS, members=128).result.figures["lpa_per_t"].band.middle


@pytest.mark.parametrize("husk", HUSKS)
def test_husks_take_their_share_of_the_litres(husk: str) -> None:
    without = litres(bill(PD_1=100.0), tun())
    with_some = litres(bill(PD_1=96.0, **{husk: 4.0}), tun())
    assert with_some == pytest.approx(0.96 * without, rel=0.006)


@pytest.mark.parametrize("husk", HUSKS)
def test_husks_go_through_no_cooker_and_are_no_raw_grain(husk: str) -> None:
    run = casework.forecast(sheet(bill(MZ_1=70.0, HE_1=28.0, **{husk: 2.0}), whole_mash()), LOTS, members=64)
    assert run.result.figures["lpa_per_t"].band.middle > 300.0
    malt = casework.forecast(sheet(bill(PD_1=98.0, **{husk: 2.0}), tun()), LOTS, members=64).result
    assert malt.ledger is not None and "raw_grain" not in {line.key for line in malt.ledger.rows}
    assert "gelatinisation" not in {board.key for board in malt.boards}


@pytest.mark.parametrize("key", ["oat_husks", "rice_husks"])
def test_husks_are_what_they_are_called(key: str) -> None:
    husk = materials()[key]
    assert husk.husk and not husk.malted and not husk.raw and husk.form == "husk"
    for field in ("extract_asis_pct", "starch_dry_pct", "diastatic_power", "dextrinising_units"):
        assert husk.typical[field].high == 0.0
    assert husk.typical["moisture_pct"].low > 0.0


@pytest.mark.parametrize("husk", HUSKS)
@pytest.mark.parametrize(
    ("category", "country"),
    [("EU_WHISKY", "DE"), ("GB_SCOTCH", "GB-SCT"), ("GB_SCOTCH_SINGLE_GRAIN", "GB-SCT"), ("EU_SINGLE_MALT", "DE")],
)
def test_husks_are_no_whole_grain(husk: str, category: str, country: str) -> None:
    """Regulation (EU) 2019/787, Annex I, 2(a)(i) and SI 2009/2890, regulation 3(1)(a) ask for whole grains."""
    plant = replace(tun(), country=country)
    made = casework.forecast(sheet(bill(PD_1=98.0, **{husk: 2.0}), plant, (category,)), LOTS, members=64).result
    (answer,) = made.law
    assert answer.verdict is Verdict.FAIL


def test_more_than_ten_per_cent_is_refused_with_the_way_out() -> None:
    made = bill(PD_1=88.0, OH_1=7.0, RH_1=5.0)
    for asked in (
        lambda: casework.forecast(sheet(made, tun()), LOTS),
        lambda: brew(sheet(made, brewhouse()), LOTS, members=64),
    ):
        with pytest.raises(Refused, match=r"12 % of husks \(OH-1, RH-1\) is above 10 %.*take 1 to 5 %"):
            asked()
    assert brew(sheet(bill(PD_1=97.0, OH_1=3.0), brewhouse()), LOTS, members=64).result.figures


def test_sour_malt_asks_for_the_ph_of_the_mash() -> None:
    more = (*LOTS, Lot("AM-1", "acidulated_malt"))
    unsaid, said = (
        casework.forecast(sheet(bill(PD_1=97.0, AM_1=3.0), house), more, members=64)
        for house in (tun(), tun(mash_pH=5.4))
    )
    assert any("AM-1 lowers the pH of the mash" in warning.sentence() for warning in unsaid.warnings)
    assert not any("lowers the pH" in warning.sentence() for warning in said.warnings)


def test_the_search_offers_no_more_than_that() -> None:
    """Steps of 5 % between two lots: 15 to 100 % of husks are 18 of 21 bills."""
    plant, today = tun("tun", 64.0, plate_area_m2=12.0), bill(PD_1=96.0, OH_1=4.0)
    asked = enquiry(today, plant, {"PD-1": (0.0, 100.0), "OH-1": (0.0, 50.0)})
    answer = casework.advise(asked, LOTS, members=128)
    assert answer.offers or answer.search.bills_allowed
    assert ("at most 10 % of husks", 18) in answer.search.failed_by_demand
    assert all(offer.result.bill.parts_of("OH-1") <= 1000 for offer in answer.offers)
