"""What holds a beer's attenuation back: mash, yeast or hours, each by its own sentence."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from gristwright import casework
from gristwright.casework.bench.one_bill import Forecast
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.records.plant import Rest
from house.places import EXAMPLES

HOUSE = EXAMPLES / "strong-raw-barley-beer"


@cache
def brewed(hot: bool = False, **washbacks: object) -> Forecast:
    sheet = read_bill(HOUSE / "bill.toml").accepted()
    mash = replace(sheet.plant.mash, rests=(Rest(74.0, 60.0),)) if hot else sheet.plant.mash
    plant = replace(sheet.plant, mash=mash, washbacks=replace(sheet.plant.washbacks, **washbacks))
    return casework.brew(replace(sheet, plant=plant), read_lots(HOUSE / "lots.csv").accepted(), members=64)


def said(made: Forecast, begins: str) -> bool:
    return any(sentence.startswith(begins) for sentence in made.remarks)


def test_time_enough_and_a_yeast_that_takes_all_are_no_remark() -> None:
    made = brewed()
    assert not made.remarks
    hours = made.result.figures["attenuated_h"].band
    assert 48.0 < hours.low < hours.high <= 140.0


def test_hours_alone_hold_it_back() -> None:
    made = brewed(hours=48.0)
    assert said(made, "The hours hold the attenuation back: ")
    assert not said(made, "The yeast")
    full = brewed().result.figures["apparent_attenuation_pct"].band
    assert made.result.figures["apparent_attenuation_pct"].band.high < full.middle


def test_a_yeast_that_leaves_maltotriose_holds_it_back_however_long_it_stands() -> None:
    made = brewed(yeast="leaves maltotriose")
    assert said(made, "The yeast holds the attenuation back: ")
    assert not said(made, "The hours")


def test_a_hot_mash_holds_it_back() -> None:
    assert said(brewed(hot=True), "The mash holds the attenuation back: ")
