"""A ledger becomes casks: what is set aside, genealogy, ages by the calendar."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from casework.stock.stock_sample import BARREL, COOL, NEW, ON, day, filled, gauged, line, sentences, stock
from gristwright.casework.stock import forecast, regauge
from gristwright.casework.stock.ages import calendar_age, completed_years, in_words, legal_ages
from gristwright.records.cask import CaskKind
from gristwright.records.stock import LedgerEntry

FILL = filled(2, "2019-03-01", "A1")
OTHER = filled(3, "2019-03-01", "A2")

REFUSED = {
    "alcohol above the last without a topping": (
        (gauged(4, "2021-03-01", "A1", 190, 62.8), gauged(5, "2022-03-01", "A1", 191.5, 62.8)),
        "more than 0.5 % and no topping or vatting is on record",
    ),
    "dates out of order": (
        (gauged(4, "2022-03-01", "A1", 190, 62.8), gauged(5, "2021-03-01", "A1", 192, 62.9)),
        "below a line of 2022-03-01",
    ),
    "before the filling": ((gauged(4, "2018-03-01", "B7", 190, 62.8),), "before any line on which it was filled"),
    "strength above entry in a humid store": (
        (gauged(4, "2022-03-01", "A1", 185, 65.0),),
        "in a store of 85 % humidity",
    ),
    "filled twice": ((filled(4, "2021-03-01", "A1"),), "one cask in two places"),
    "gauged in another store": (
        (gauged(4, "2021-03-01", "A1", 193, 62.9, store="High"),),
        "the ledger has it in Low: in two places",
    ),
    "moved to two places on a day": (
        (line(4, "2021-03-01", "A1", "moved", store="High"), line(5, "2021-03-01", "A1", "moved", store="Port")),
        "is in High and in Port on 2021-03-01",
    ),
    "more than it holds": ((gauged(4, "2021-03-01", "A1", 260, 50.0),), "260 L does not fit A1"),
    "after it was emptied": (
        (line(4, "2020-03-01", "A1", "emptied"), gauged(5, "2021-03-01", "A1", 190, 62.8)),
        "after it was emptied",
    ),
    "from nowhere": ((filled(4, "2021-03-01", "B1", sources=("Z9",)),), "filled from Z9, which no line before knows"),
    "a sample larger than what is there": (
        (line(4, "2021-03-01", "A1", "sampled", litres=201.0),),
        "201 L are drawn from A1, and its lines leave 200.0 L at most",
    ),
    "topped from nowhere": (
        (line(4, "2021-03-01", "A1", "topped", litres=5.0, abv_pct=60.0, sources=("Z9",)),),
        "topped from Z9, which no line before knows",
    ),
    "entry too strong": ((filled(4, "2021-03-01", "B1", abv_pct=90.0),), "outside 40 to 80 %vol"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_bad_line_is_set_aside_and_the_others_go_on(case: str) -> None:
    lines, words = REFUSED[case]
    found = stock(FILL, OTHER, *lines)
    faults = [problem for problem in found.set_aside if not problem.warning]
    assert len(faults) == 1
    assert words in faults[0].what
    assert faults[0].address.file == "casks.csv" and faults[0].address.row
    assert faults[0].way_out
    assert "A2" in [cask.cask_id for cask in found.casks]


def test_a_racking_takes_no_more_than_the_casks_held() -> None:
    too_much = [line for line in racked() if line.cask != "P1"] + [replace(racked()[2], litres=420.0)]
    faults = sentences(stock(*sorted(too_much, key=lambda entry: entry.date)))
    assert len(faults) == 1
    assert "P1 is filled with 256.20 L of pure alcohol from A1 + A2, which held 254.00 L." in faults[0]


def test_what_is_odd_is_flagged_and_used() -> None:
    said = sentences(stock(*racked()[:4]), warnings=True)
    assert any("no line says that A2 gave any" in text for text in said)
    assert not any("that A1 gave any" in text for text in said)
    half = sentences(stock(filled(2, "2019-03-01", "A1", litres=100.0)), warnings=True)
    assert any("under nine tenths of the 200 L" in text for text in half)
    place = (filled(2, "2019-03-01", "A1", place="row 1"), gauged(3, "2021-03-01", "A1", 190, 62.8, place="row 9"))
    assert any("at row 9, and the ledger has it at row 1" in text for text in sentences(stock(*place), warnings=True))
    topped = (FILL, line(3, "2019-05-01", "A1", "topped", litres=60.0, abv_pct=63.0))
    assert any("must have lost" in text for text in sentences(stock(*topped), warnings=True))


def test_a_refused_gauge_is_not_used() -> None:
    found = stock(FILL, gauged(4, "2021-03-01", "A1", 190, 62.8), gauged(5, "2022-03-01", "A1", 195, 62.8))
    assert [event.litres for event in found.casks[0].gauges] == [190]


def test_a_rise_within_half_a_per_cent_is_noise_with_a_flag() -> None:
    found = stock(FILL, gauged(4, "2021-03-01", "A1", 190, 62.8), gauged(5, "2021-05-01", "A1", 190.8, 62.8))
    assert sentences(found) == []
    assert any("taken as noise" in text for text in sentences(found, warnings=True))
    assert len(found.casks[0].gauges) == 2


def test_a_topping_on_record_explains_a_rise() -> None:
    top = line(5, "2021-06-01", "A1", "topped", litres=8.0, abv_pct=63.0)
    found = stock(FILL, gauged(4, "2021-03-01", "A1", 190, 62.8), top, gauged(6, "2021-07-01", "A1", 197, 62.8))
    assert sentences(found) == []
    assert len(found.casks[0].gauges) == 2


def test_alcohol_that_differs_from_what_is_stated_is_flagged() -> None:
    found = stock(FILL, gauged(4, "2021-03-01", "A1", 190, 62.8, rla_L=122.0))
    assert any("122 L of pure alcohol is stated" in text for text in sentences(found, warnings=True))


def test_litres_are_brought_to_20_degC() -> None:
    """200 L of 60 %vol gauged at 10 degC are about 201.8 L at 20 degC."""
    found = stock(replace(FILL, litres=200.0, degC=10.0, abv_pct=60.0))
    assert found.casks[0].fill_L == pytest.approx(201.8, abs=0.2)


def test_a_gauge_without_a_temperature_is_flagged() -> None:
    found = stock(FILL, gauged(4, "2021-03-01", "A1", 190, 62.8, method="dipped"))
    assert any("without a temperature" in text for text in sentences(found, warnings=True))


def test_a_store_without_a_climate_sets_its_casks_aside() -> None:
    found = stock(FILL, filled(3, "2019-03-01", "B1", store="High"), climates={"Low": COOL})
    assert [cask.cask_id for cask in found.casks] == ["A1"]
    assert "whose climate is not given" in sentences(found)[0]


def test_lines_after_the_day_are_not_read() -> None:
    found = stock(FILL, gauged(4, "2030-03-01", "A1", 190, 62.8))
    assert found.casks[0].gauges == ()
    assert any("after 2026-11-25" in text for text in sentences(found, warnings=True))


def racked() -> list[LedgerEntry]:
    """Two casks of one spirit into a port pipe, and later a topping from a younger cask."""
    pipe = CaskKind("port pipe", 600.0, 30.0, "oak", 1, False, "port")
    return [
        FILL,
        filled(3, "2020-05-05", "A2", kind=NEW),
        filled(4, "2024-01-10", "P1", litres=350.0, abv_pct=61.0, kind=pipe, sources=("A1", "A2")),
        line(5, "2024-01-10", "A1", "emptied"),
        line(6, "2024-01-10", "A2", "emptied"),
    ]


def test_a_racked_cask_has_the_age_of_its_youngest_spirit() -> None:
    found = stock(*racked())
    pipe = found.casks[0]
    assert [cask.cask_id for cask in found.casks] == ["P1"]
    assert {cask.cask_id for cask in found.gone} == {"A1", "A2"}
    assert len(pipe.components) == 2
    assert completed_years(pipe, ON) == 6
    age = {age.category: age for age in legal_ages(pipe, ON)}
    assert (age["EU_WHISKY"].years, age["EU_WHISKY"].months, age["EU_WHISKY"].days) == (6, 6, 20)


def test_time_in_a_used_cask_is_no_age_of_straight_bourbon() -> None:
    """27 CFR 5.143: charred new oak. A1 held bourbon before, so its spirit has none of it; A2 was new to 2024."""
    pipe = stock(*racked()).casks[0]
    age = {age.category: age for age in legal_ages(pipe, ON)}["US_STRAIGHT_BOURBON"]
    assert (age.years, age.months, age.days) == (0, 0, 0)
    alone = stock(*racked()[1:2], replace(racked()[2], sources=("A2",), litres=195.0), racked()[4]).casks[0]
    age = {age.category: age for age in legal_ages(alone, ON)}["US_STRAIGHT_BOURBON"]
    assert (age.years, age.months, age.days) == (3, 8, 5)


def test_topping_brings_in_a_younger_spirit() -> None:
    young = filled(3, "2025-05-05", "A9")
    top = line(4, "2026-06-01", "A1", "topped", litres=5.0, abv_pct=63.0, sources=("A9",))
    assert completed_years(stock(FILL, young, top).casks[0], ON) == 1


def test_casks_above_700_litres_count_where_the_law_has_no_limit() -> None:
    """Regulation (EU) 2019/787: wooden casks of at most 700 L."""
    tun = stock(replace(FILL, kind=CaskKind("tun", 720.0), litres=700.0)).casks[0]
    age = {age.category: age.years for age in legal_ages(tun, ON)}
    assert (age["EU_WHISKY"], age["AU_WHISKY"]) == (0, 7)


@pytest.mark.parametrize(
    ("first", "last", "age"),
    [
        ("2020-02-29", "2023-02-28", (2, 11, 30)),
        ("2020-02-29", "2023-03-01", (3, 0, 0)),
        ("2020-01-31", "2020-02-29", (0, 0, 29)),
        ("2019-03-01", "2026-11-25", (7, 8, 24)),
        ("2019-03-01", "2019-03-01", (0, 0, 0)),
    ],
)
def test_age_goes_by_the_calendar(first: str, last: str, age: tuple[int, int, int]) -> None:
    assert calendar_age([(day(first), day(last))]) == age


def test_days_out_of_wood_do_not_count() -> None:
    spans = [(day("2020-01-01"), day("2021-01-01")), (day("2021-02-01"), day("2022-02-01"))]
    assert calendar_age(spans) == (2, 0, 0)


def test_an_age_is_written_out() -> None:
    assert in_words((1, 0, 12)) == "1 year, 0 months, 12 days"


def test_a_vat_is_no_cask() -> None:
    vat = CaskKind("vat", 5000.0, 25.0, "steel")
    found = stock(FILL, filled(4, "2021-03-01", "V1", kind=vat, litres=190.0, abv_pct=62.0, sources=("A1",)))
    assert [cask.cask_id for cask in found.casks] == ["A1"]
    assert any("is a vat" in text for text in sentences(found, warnings=True))


def test_a_borrowed_climate_is_said() -> None:
    move = line(4, "2021-03-01", "A1", "moved", store="High")
    found = stock(FILL, move, climates={"High": COOL})
    assert found.casks[0].store == "High"
    assert any("the climate of Low is not given" in text for text in sentences(found, warnings=True))
    assert set(found.climates) == {"Low", "High"}


def test_the_sample_is_of_one_day() -> None:
    assert stock(FILL).on == ON == dt.date(2026, 11, 25)
    assert stock(FILL).casks[0].kind == BARREL


def test_a_cask_of_no_kind_counts_with_what_its_lines_leave() -> None:
    """Filled, sampled, gauged and topped like any other; only nothing of it is forecast."""
    lines = (
        filled(4, "2021-03-01", "B1", kind=None),
        line(5, "2021-06-01", "B1", "sampled", litres=2.0),
        gauged(6, "2023-03-01", "B1", 180.0, 62.0, degC=20.0),
        line(7, "2023-03-02", "B1", "topped", litres=10.0, abv_pct=60.0),
    )
    found = stock(FILL, OTHER, *lines)
    assert [cask.cask_id for cask in found.casks] == ["A1", "A2"]
    (cask,) = found.unknown
    assert (cask.cask_id, cask.litres) == ("B1", 190.0)
    assert cask.rla_L == pytest.approx(180.0 * 0.62 + 10.0 * 0.6)
    assert forecast(found, 1, regauge(found, 16)).unknown == found.unknown


def test_an_emptied_cask_of_no_kind_is_no_longer_counted() -> None:
    emptied = line(5, "2022-03-01", "B1", "emptied")
    assert stock(FILL, filled(4, "2021-03-01", "B1", kind=None), emptied).unknown == ()


def test_small_casks_are_said_once_for_all() -> None:
    small = CaskKind("octave", 50.0, 22.0, "oak", 1, True)
    lines = [filled(k, "2021-03-01", f"O{k}", kind=small, litres=49.0) for k in range(4, 16)]
    (said,) = [text for text in sentences(stock(FILL, *lines), warnings=True) if "below 100 L" in text]
    assert said.startswith("casks.csv: 12 casks below 100 L (O4, ") and "O11, …): only loss is forecast." in said
    assert "never gives the same whisky faster" in said
    assert not any("below 100 L" in text for text in sentences(stock(FILL), warnings=True))
