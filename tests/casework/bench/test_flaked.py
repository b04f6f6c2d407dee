"""Flaked grain: its starch is open, so it needs no cooker; to the law it is no whole grain (our reading)."""

from __future__ import annotations

import pytest

from gristwright import casework
from gristwright.basics import Verdict
from gristwright.records.lot import Lot
from gristwright.stages.grist.materials import materials
from houses import LOTS, bill, sheet, tun, whole_mash

FLAKED = sorted(key for key in materials() if key.startswith("flaked_"))
MORE = (*LOTS, Lot("FM-1", "flaked_maize"), Lot("FB-1", "flaked_barley"))


@pytest.mark.parametrize("key", FLAKED)
def test_flaked_grain_is_open_raw_and_a_fraction(key: str) -> None:
    flaked = materials()[key]
    assert flaked.opened and flaked.raw and not flaked.dark and not flaked.husk
    assert flaked.form == "fraction"
    raw = materials()[key.replace("flaked_", "raw_")]
    assert flaked.typical["moisture_pct"].middle < raw.typical["moisture_pct"].middle
    assert flaked.typical["diastatic_power"].high == 0.0


def test_an_infusion_opens_no_raw_maize_and_needs_open_no_flaked_maize() -> None:
    """Maize opens at 68-78 degC (teaching texts), which an infusion at 64 degC does not reach."""
    made = {
        lot: casework.forecast(sheet(bill(PD_1=80.0, **{lot: 20.0}), tun()), MORE, members=128).result
        for lot in ("MZ_1", "FM_1")
    }
    boards = {lot: {board.key for board in result.boards} for lot, result in made.items()}
    assert "gelatinisation" in boards["MZ_1"] and "gelatinisation" not in boards["FM_1"]
    litres = {lot: r.figures["lpa_per_t"].band.middle for lot, r in made.items() if r.withheld is None}
    assert litres["FM_1"] > litres.get("MZ_1", 0.0) + 3.0


def test_flaked_grain_goes_past_the_cooker_with_the_malt() -> None:
    made = casework.forecast(sheet(bill(MZ_1=60.0, FB_1=10.0, HE_1=30.0), whole_mash()), MORE, members=64).result
    assert made.figures["lpa_per_t"].band.middle > 330.0


def test_flakes_are_no_whole_grain() -> None:
    """Regulation (EU) 2019/787, Annex I, 2(a)(i): whole grains, with or without malt."""
    made = casework.forecast(sheet(bill(PD_1=90.0, FB_1=10.0), tun(), ("EU_WHISKY",)), MORE, members=64).result
    assert made.law[0].verdict is Verdict.FAIL
