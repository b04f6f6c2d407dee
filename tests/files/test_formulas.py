"""Texts leave so that no spreadsheet runs them, and come back as they were, whatever they are."""

from __future__ import annotations

import csv
import io
import re
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gristwright.files.casks_in import read_casks
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.csv_out import csv_bytes
from gristwright.files.formulas import as_meant, neutral
from gristwright.files.sheets import read_sheets, text_sheet
from gristwright.reference.typeface import composed
from gristwright.workbench.mending import Place, mended, sheets_of, text_at

SIGNS = ["=", "+", "-", "@", "＝", "＠", "'", "''", ";", ",", "\t", "\n", "|", '"']
PARTS = [*SIGNS, " ", "\u00a0", "\u3000", "1", "5.2", "%", "SUM(A1)", "a"]
TEXTS = st.lists(st.sampled_from(PARTS), max_size=8).map("".join)
# What reads a table takes spaces off the ends of a cell and makes those inside alike, and so it is with names.
NAMES = TEXTS.map(composed).map(str.strip)
ANY = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)
RUN = re.compile(r"\s*[=+\-@＝＋－＠]")
NUMBER = re.compile(r"\s*[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?\s*%?", re.IGNORECASE)


def cells(raw: bytes) -> list[list[str]]:
    return [[cell.text for cell in row] for row in text_sheet("own.csv", raw.decode("utf-8-sig")).cells]


@given(TEXTS | ANY)
def test_a_text_comes_back_as_it_was(text: str) -> None:
    assert as_meant(neutral(text)) == text


@given(TEXTS | ANY, st.sampled_from([",", ";", "\t"]))
def test_no_program_finds_a_formula_whatever_it_takes_for_a_separator(text: str, mark: str) -> None:
    raw = csv_bytes([["lot", text, "end"]]).decode("utf-8-sig")
    cut = [cell for row in csv.reader(io.StringIO(raw, newline=""), delimiter=mark) for cell in row]
    if mark == ",":
        assert as_meant(cut[1]) == text
    assert [cell for cell in cut if RUN.match(cell) and not NUMBER.match(cell)] == []


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(NAMES, min_size=2, max_size=4), st.floats(-9, 9))
def test_a_table_comes_back_with_the_same_names_and_numbers(names: list[str], number: float) -> None:
    rows = cells(csv_bytes([["lot", "material", "note", "x", "y"], *(["A", name, "b", number, ""] for name in names)]))
    assert [row[1] for row in rows[1:]] == names
    assert {float(row[3]) for row in rows[1:]} == {number}


@pytest.mark.parametrize("name", ["=SUM(A1)", "-5", "'=1", "''", "+a;=1+1", "@x", "＝x", "'tis", "- 5", "1;-2", "=1,5"])
def test_a_mended_text_file_is_neutral_and_keeps_its_names(name: str) -> None:
    content = csv_bytes([["lot", "material", "moisture [%]"], ["A", "pale", "4.6"], [name, "pale", "-5"]])
    made = mended("own.csv", content, Place("", 2, 2), name)
    sheets = sheets_of("own.csv", made)
    assert [text_at(sheets, Place("", *spot)) for spot in ((2, 2), (3, 1), (3, 3))] == [name, name, "-5"]
    assert re.search(r"(?m)(^|[,;\"])[=+@＝]", made.decode()) is None


@pytest.mark.parametrize("name", ["=SUM(A1)", "-5", "'=1", "'tis", "@x"])
def test_a_lot_leaves_and_comes_back_by_its_name(tmp_path: Path, name: str) -> None:
    path = tmp_path / "lots.csv"
    path.write_bytes(csv_bytes([["lot", "material", "moisture [%]"], [name, "pale_distilling_malt", 4.6]]))
    (lot,) = read_lots(path).accepted()
    assert lot.lot_id == name


def test_every_reader_of_text_takes_the_apostrophe_off(tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_bytes(csv_bytes([["=a", "=b"], ["@c", "-5"]]))
    assert [[cell.text for cell in row] for row in read_sheets(path, [])[0].cells] == [["=a", "=b"], ["@c", "-5"]]
    said = " ".join(problem.sentence() for problem in read_casks(path).problems)
    assert "'=a" not in said


@pytest.mark.parametrize(
    "text", ["'" * 100_000, " " * 100_000, "1" * 100_000 + "x", "-" + "1" * 100_000, ";'" * 50_000]
)
def test_the_worst_text_takes_no_time(text: str) -> None:
    start = time.perf_counter()
    assert as_meant(neutral(text)) == text
    assert time.perf_counter() - start < 5


def test_the_charts_of_the_desk_write_by_the_same_rule() -> None:
    source = (Path(neutral.__code__.co_filename).parents[1] / "workbench/static/desk/chart_bar.js").read_text("utf-8")
    assert "[=+\\-@＝＋－＠]" in source
    assert "split(/([;\\t\\r\\n])/)" in source
