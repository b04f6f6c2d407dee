"""A fault of a file leads to what is wrong: the field of a TOML file, the cell of a text table or a workbook."""

from __future__ import annotations

import csv
import io
import tomllib
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter

from gristwright.basics import Address, Problem
from gristwright.files import casks_in, ladder_in
from gristwright.files.certificates import read_certificates
from gristwright.files.climate_in import read_climates
from gristwright.files.jobs_in import read_enquiry
from gristwright.files.rates_in import read_rates
from scenario import copied


def what_stands_at(part: Any, path: tuple[str | int, ...]) -> Any:
    """The value that a path leads to in a parsed TOML file; None where a field of a table is missing."""
    for name in path:
        part = part[name - 1] if isinstance(name, int) else part.get(name)
    return part


@pytest.mark.parametrize(
    ("name", "old", "new", "path", "found"),
    [
        ("enquiry.toml", "price_per_t = 496", 'price_per_t = "much"', ("offered", 2, "price_per_t"), "much"),
        ("enquiry.toml", "sd_lpa_per_t", "sd_lpa_per_ton", ("record", "sd_lpa_per_ton"), 4.5),
        ("enquiry.toml", "sd_lpa_per_t = 4.5", "", ("record", "sd_lpa_per_t"), None),
        ("enquiry.toml", '"CM-300"]', '"CM-400"]', ("groups", 1, "lot_ids"), ["CM-120", "CM-400"]),
        ("enquiry.toml", 'adviser = "', 'adviser = "\\u9EA6', ("adviser",), "麦"),
        ("plant.toml", "count = 6", "count = 0", ("washbacks", "count"), 0),
        ("plant.toml", "settled_mash_degC = 64", "settled_mash_degC = 640", ("mash", "settled_mash_degC"), 640),
        ("plant.toml", "settled_mash_degC = 64", "rests = [{settled_degC = 30, minutes = -1}]",
            ("mash", "rests", 1, "minutes"), -1),
        ("plant.toml", "settled_mash_degC = 64", "liquor_degC = 68", ("mash", "liquor_degC"), 68),
        ("plant.toml", "settled_mash_degC = 64", "calcium_mg_per_L = 60",
            ("mash", "alkalinity_mg_per_L"), None),
        ("bill.toml", "PD-1 = 100", "PD-1 = 101", ("shares", "PD-1"), 101),
    ],
)  # fmt: skip
def test_a_fault_of_a_toml_file_leads_to_its_field(
    tmp_path: Path, name: str, old: str, new: str, path: tuple[str | int, ...], found: Any
) -> None:
    folder = copied(tmp_path)
    text = (folder / name).read_text(encoding="utf-8")
    assert old in text
    (folder / name).write_text(text.replace(old, new), encoding="utf-8")
    addresses = [problem.address for problem in read_enquiry(folder / "enquiry.toml").problems]
    assert Address(name, path=path) in addresses
    value = what_stands_at(tomllib.loads((folder / name).read_text(encoding="utf-8")), path)
    assert value == found or (isinstance(value, str) and value.startswith(found))


ROWS = (
    ("lot", "supplier", "material", "crop", "moisture [%]", "diastatic power [degWK]", "wetness of ours"),
    ("PD-1", "An Example Maltings", "pale_distilling_malt", "2025", "4.6", "262", "1"),
    ("PD-2", "麦", "pale_distilling_malt", "last year", "much", "24B", "2"),
)
# Of each fault what stands in its cell.
CELLS = {"麦", "last year", "much", "24B", "wetness of ours"}


def lots_as(kind: str, folder: Path, rows: tuple[tuple[str, ...], ...]) -> Path:
    """The table as a text file or as the second sheet of a workbook, two rows down and one column in."""
    path = folder / f"lots.{kind}"
    if kind == "csv":
        with path.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows(rows)
        return path
    with xlsxwriter.Workbook(path) as book:
        book.add_worksheet("Notes")
        sheet = book.add_worksheet("Lots & more")
        for number, row in enumerate(rows):
            sheet.write_row(number + 2, 1, row)
    return path


def cell_of(path: Path, address: Address) -> str:
    """What stands in the cell of an address."""
    assert address.file == path.name
    assert address.row
    assert address.column
    if path.suffix == ".csv":
        rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
        return rows[address.row - 1][address.column - 1]
    book = openpyxl.load_workbook(path)
    return str(book[address.sheet].cell(address.row, address.column).value)


def faults_of(problems: tuple[Problem, ...]) -> list[Problem]:
    return [problem for problem in problems if not problem.warning]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_fault_of_a_certificate_leads_to_its_cell(tmp_path: Path, kind: str) -> None:
    path = lots_as(kind, tmp_path, ROWS)
    found = faults_of(read_certificates(path).reading.problems)
    assert {cell_of(path, problem.address) for problem in found} == CELLS


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_lots_in_columns_have_cells_too(tmp_path: Path, kind: str) -> None:
    path = lots_as(kind, tmp_path, tuple(zip(*ROWS, strict=True)))
    found = faults_of(read_certificates(path).reading.problems)
    assert {cell_of(path, problem.address) for problem in found} == CELLS


def test_a_fault_of_a_certificate_in_toml_leads_to_its_field(tmp_path: Path) -> None:
    path = tmp_path / "lots.toml"
    text = """format = "gristwright.lots/1"
[[lot]]
lot = "PD-1"
material = "pale_distilling_malt"
crop = "last year"
[lot.analyses]
"moisture [%]" = "much"
"diastatic power" = 262
"""
    path.write_text(text, encoding="utf-8")
    data = tomllib.loads(text)
    found = {problem.address.path: what_stands_at(data, problem.address.path) for problem in faults_of(
        read_certificates(path).reading.problems)}  # fmt: skip
    assert found == {
        ("lot", 1, "crop"): "last year",
        ("lot", 1, "analyses", "moisture [%]"): "much",
        ("lot", 1, "analyses", "diastatic power"): 262,
    }


LEDGER = (
    ("date", "cask", "what", "litres", "abv_pct"),
    ("2019-03-01", "A1", "gauged", "190", "62"),
    ("2019-13-01", "A2", "guessed", "190", "163"),
)


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_fault_of_a_ledger_of_casks_leads_to_its_cell(tmp_path: Path, kind: str) -> None:
    path = lots_as("csv", tmp_path, LEDGER)
    if kind == "xlsx":
        path = tmp_path / "lots.xlsx"
        with xlsxwriter.Workbook(path) as book:
            sheet = book.add_worksheet("Casks")
            for number, row in enumerate(LEDGER):
                sheet.write_row(number, 0, row)
    found = casks_in.read_casks(path).problems
    assert {cell_of(path, problem.address) for problem in found} == {"2019-13-01", "guessed", "163"}


def test_a_fault_of_a_ladder_leads_to_its_cell(tmp_path: Path) -> None:
    path = tmp_path / "ladder.csv"
    path.write_text("cask,age_years,vanillin [mg/L]\nA,three,1.2\nB,6,much\n", encoding="utf-8")
    found = {cell_of(path, p.address) for p in ladder_in.read_casks(path).problems if p.address.column}
    assert found == {"three", "much"}


def test_a_fault_of_rates_or_of_a_climate_leads_to_its_row(tmp_path: Path) -> None:
    rates = tmp_path / "rates.csv"
    rates.write_text("from_years,value_per_lpa,currency\n0,10,EUR\n3.5,-2,EUR\n", encoding="utf-8")
    assert [problem.where for problem in read_rates(rates).problems] == [
        Address("rates.csv", row=3, path=("from_years",)),
        Address("rates.csv", row=3, path=("value_per_lpa",)),
    ]
    store = tmp_path / "store.csv"
    store.write_text("month,degC,humidity_pct\n1,8,75\n13,9,75\n", encoding="utf-8")
    assert read_climates(store).problems[0].where == Address("store.csv", row=3)
