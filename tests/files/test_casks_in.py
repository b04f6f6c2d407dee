"""A cask ledger and a climate as files: every fault with row, value, limit and way out, and the others go on."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
import xlsxwriter

from gristwright.basics import Refused
from gristwright.files.casks_in import read_casks
from gristwright.files.climate_in import climates_from, read_climates
from gristwright.files.rates_in import read_rates

HEAD = "date,cask,what,litres,abv_pct,degC,method,store,from,spirit,kind,wood,capacity_L,fill_number,charred"
GOOD = "2019-03-01,A1,filled,199.5,63.5,20,metered,Low,,malt,barrel,oak,200,1,yes"
MONTHS = [f"{month},{5 + month},80" for month in range(1, 13)]


def ledger(folder: Path, *lines: str, head: str = HEAD, name: str = "casks.csv") -> Path:
    path = folder / name
    path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return path


def climate(folder: Path, lines: list[str], head: str = "month,degC,humidity_pct") -> Path:
    path = folder / "store.csv"
    path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return path


def test_a_good_line(tmp_path: Path) -> None:
    reading = read_casks(ledger(tmp_path, GOOD))
    (entry,) = reading.accepted()
    assert (entry.date, entry.cask, entry.what) == (dt.date(2019, 3, 1), "A1", "filled")
    assert (entry.litres, entry.abv_pct, entry.degC, entry.method) == (199.5, 63.5, 20.0, "metered")
    assert entry.kind is not None
    assert (entry.kind.capacity_L, entry.kind.wood, entry.kind.charred) == (200.0, "oak", True)
    assert entry.where.words == "casks.csv, row 2"


@pytest.mark.parametrize(
    ("line", "where", "words"),
    [
        ("2019-13-01,A2,gauged,190,62,,,,,,,,,,", "row 2, date", "'2019-13-01' is not a date"),
        ("2019-03-01,,gauged,190,62,,,,,,,,,,", "row 2, cask", "is empty"),
        ("2019-03-01,A2,guaged,190,62,,,,,,,,,,", "row 2, what", "Did you mean 'gauged'"),
        ("2019-03-01,A2,gauged,many,62,,,,,,,,,,", "row 2, litres", "'many' is not a number"),
        ("2019-03-01,A2,gauged,190,163,,,,,,,,,,", "row 2, abv_pct", "163 %vol is outside 0.5 to 97 %vol"),
        ("2019-03-01,A2,gauged,190,62,55,,,,,,,,,", "row 2, degC", "55 degC is outside -20 to 40 degC"),
        ("2019-03-01,A2,gauged,190,62,20,guessed,,,,,,,,", "row 2, method", "'guessed' is not known here"),
        ("2019-03-01,A2,filled,190,62,20,,,,,barrel,oak,200,1,maybe", "row 2, charred", "neither yes nor no"),
        ("2019-03-01,A2,filled,190,62,20,,,,,barrel,oak,20000,1,yes", "row 2, capacity_L", "outside 2 to 750 L"),
    ],
)
def test_a_bad_line_is_left_out_and_the_next_goes_on(tmp_path: Path, line: str, where: str, words: str) -> None:
    reading = read_casks(ledger(tmp_path, line, GOOD))
    assert [entry.cask for entry in reading.accepted()] == ["A1"]
    (problem,) = reading.problems
    assert problem.address.words == f"casks.csv, {where}"
    assert words in problem.sentence()
    assert "The line is left out." in problem.way_out


def test_a_wood_that_no_table_has_is_kept_and_warned_of(tmp_path: Path) -> None:
    reading = read_casks(ledger(tmp_path, "2019-03-01,A2,filled,190,62,20,,,,,barrel,mizunaro,200,1,yes", GOOD))
    assert [entry.kind.wood for entry in reading.accepted() if entry.kind] == ["mizunaro", "oak"]
    (problem,) = reading.problems
    assert problem.warning
    assert problem.address.words == "casks.csv, row 2, wood"
    assert "'mizunaro' is no wood we know: whether its time counts as age is unknown. Did you mean 'mizunara'?" in (
        problem.sentence()
    )


def test_all_faults_of_a_line_are_named_at_once(tmp_path: Path) -> None:
    reading = read_casks(ledger(tmp_path, "x,,guaged,many,163,,,,,,,,,,", GOOD))
    assert len(reading.problems) == 5


def test_semicolons_decimal_commas_german_dates_and_other_headings(tmp_path: Path) -> None:
    head = "Day;Cask number;What;Bulk litres;%vol;Warehouse;Kind;Wood"
    path = ledger(tmp_path, "01.03.2019;A1;filled;199,5;63,5;Low;hogshead;american oak", head=head)
    (entry,) = read_casks(path).accepted()
    assert (entry.litres, entry.abv_pct, entry.store) == (199.5, 63.5, "Low")
    assert entry.kind is not None
    assert (entry.kind.capacity_L, entry.kind.wood) == (250.0, "oak")


@pytest.mark.parametrize(
    ("word", "wood"),
    [("Mizunara", "oak"), ("Eiche (Quercus alba)", "oak"), ("Kastanie", "chestnut"), ("Edelstahl", "steel")],
)
def test_a_wood_is_read_by_any_of_its_names(tmp_path: Path, word: str, wood: str) -> None:
    (entry,) = read_casks(ledger(tmp_path, GOOD.replace(",oak,", f",{word},"))).accepted()
    assert entry.kind is not None
    assert entry.kind.wood == wood


def test_sources_are_read(tmp_path: Path) -> None:
    line = "2024-03-01,P1,filled,390,60,20,,Low,A1 + A2,malt,butt,oak,,1,no"
    assert read_casks(ledger(tmp_path, line)).accepted()[0].sources == ("A1", "A2")


def test_an_unread_column_is_named(tmp_path: Path) -> None:
    reading = read_casks(ledger(tmp_path, f"{GOOD},7", head=f"{HEAD},cooper"))
    assert "'cooper' is not read" in reading.problems[0].sentence()


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "is empty"), ("cask,what\nA1,filled\n", "no column date"), (f"{HEAD}\nx,A,filled\n", "is not a date")],
)
def test_a_file_that_is_no_ledger_is_refused(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "casks.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Refused, match=words):
        read_casks(path).accepted()


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="is not there"):
        read_casks(tmp_path / "no.csv").accepted()


def test_a_workbook_is_read_too(tmp_path: Path) -> None:
    path = tmp_path / "casks.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("ledger")
        for row, text in enumerate([HEAD, GOOD]):
            for column, cell in enumerate(text.split(",")):
                number = row and column in (3, 4, 5, 12, 13)
                sheet.write(row, column, float(cell) if number and cell else cell)
    (entry,) = read_casks(path).accepted()
    assert (entry.cask, entry.litres, entry.abv_pct) == ("A1", 199.5, 63.5)


def test_a_climate_of_one_store_serves_all(tmp_path: Path) -> None:
    found = read_climates(climate(tmp_path, MONTHS)).accepted()
    assert found[""].month_degC == tuple(float(5 + month) for month in range(1, 13))
    assert found[""].month_humidity == (0.8,) * 12


def test_eleven_months_are_refused_and_the_other_store_goes_on(tmp_path: Path) -> None:
    head = "store,month,degC,humidity"
    lines = [f"A,{month},10,0.8" for month in range(1, 13)] + [f"B,{month},10,0.8" for month in range(1, 12)]
    reading = read_climates(climate(tmp_path, lines, head))
    assert list(reading.accepted()) == ["A"]
    (problem,) = reading.problems
    assert "B has 11 months and 12 are needed; month 12 is missing." in problem.what
    with pytest.raises(Refused, match="11 months and 12 are needed"):
        read_climates(climate(tmp_path, lines[12:], head)).accepted()


def test_a_humidity_given_as_per_cent_in_the_column_of_shares_is_recognised(tmp_path: Path) -> None:
    lines = [f"{month},10,80" for month in range(1, 13)]
    with pytest.raises(Refused, match=r"If 80 is per cent, write 0\.8"):
        read_climates(climate(tmp_path, lines, "month,degC,humidity")).accepted()


def test_readings_of_a_logger_are_averaged(tmp_path: Path) -> None:
    lines = [f"{month},{degC},75" for month in range(1, 13) for degC in (8, 12)]
    assert read_climates(climate(tmp_path, lines)).accepted()[""].month_degC == (10.0,) * 12


@pytest.mark.parametrize("line", ["13,10,80", "1,warm,80", "x,10,80"])
def test_a_bad_line_of_a_climate_is_named(tmp_path: Path, line: str) -> None:
    reading = read_climates(climate(tmp_path, [*MONTHS, line]))
    assert reading.accepted()
    assert reading.problems[0].address.words == "store.csv, row 14"


def test_a_constant_climate_and_a_generic_store() -> None:
    constant = climates_from("12 degC 75 %").accepted()[""]
    assert (constant.month_degC, constant.month_humidity) == ((12.0,) * 12, (0.75,) * 12)
    assert climates_from("12,5 C, 75%").accepted()[""].month_degC[0] == 12.5
    assert climates_from("cool humid store").accepted()[""].name == "cool humid store"
    with pytest.raises(Refused, match="or such as '12 degC 75 %'"):
        climates_from("cellar").accepted()
    with pytest.raises(Refused, match="90 degC is outside"):
        climates_from("90 degC 75 %").accepted()


def test_rates(tmp_path: Path) -> None:
    path = tmp_path / "rates.csv"
    path.write_text("from_years,value_per_lpa,currency\n3,12,EUR\n0,8.5,EUR\n", encoding="utf-8")
    rates = read_rates(path).accepted()
    assert (rates.currency, rates.from_years, rates.per_lpa) == ("EUR", (0, 3), (8.5, 12.0))
    path.write_text("age,worth\n3,12\n", encoding="utf-8")
    with pytest.raises(Refused, match="not a table of rates"):
        read_rates(path).accepted()


def test_every_fault_of_the_rates_is_named(tmp_path: Path) -> None:
    path = tmp_path / "rates.csv"
    head = "from_years,value_per_lpa,currency\n"
    path.write_text(head + "x,5,EUR\n1.5,5,EUR\n3,-12,EUR\n5,1,EUR\n5,2,USD\n", encoding="utf-8")
    with pytest.raises(Refused) as caught:
        read_rates(path).accepted()
    said = [problem.sentence() for problem in caught.value.problems]
    assert len(said) == 5
    for words in (
        "row 2, from_years: 'x' is not",
        "1.5 years is no whole age",
        "-12 a litre is below 0",
        "5 years has 2",
        "'EUR', 'USD'",
    ):
        assert any(words in text for text in said), words
    with pytest.raises(Refused, match="table of rates"):
        read_rates(tmp_path / "none.csv").accepted()
