"""`gristwright lots`: a table for every lot, every sentence, and a mapping to correct."""

from __future__ import annotations

import json

import openpyxl
import pytest

from gristwright.cli.main import main
from scenario import FOLDER


@pytest.fixture
def book(tmp_path):
    path = tmp_path / "coa.xlsx"
    own = openpyxl.Workbook()
    own.active.append(["Lot", "Malt", "Moisture [%]", "Extract fine dry [%]", "DP [WK]", "DP [Lintner]"])
    own.active.append(["A", "high-enzyme malt", 7.5, 79.5, 500, 165])
    own.save(path)
    return path


def test_the_table_stands_within_eighty_columns(capsys) -> None:
    assert main(["lots", str(FOLDER / "lots.csv")]) == 0
    out = capsys.readouterr().out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert "PD-1: pale distilling malt" in out and "assumed" in out and "row 2" in out


def test_what_is_inconsistent_is_marked_and_said(book, capsys) -> None:
    assert main(["lots", "read", str(book)]) == 0
    out = capsys.readouterr().out
    assert "inconsistent" in out and "E2" in out
    assert "147.4 degLintner" in " ".join(out.split())
    assert max(len(line) for line in out.splitlines()) <= 80


def test_json(book, capsys) -> None:
    assert main(["lots", str(book), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    lines = {(line["field"], line["unit"]): line for line in data["lots"][0]["lines"]}
    assert lines["moisture_pct", "%"]["where"] == "coa.xlsx, sheet Sheet, cell C2"
    assert lines["diastatic_power", "degWK"]["stands"] == "inconsistent"
    assert data["problems"][0]["warning"] is True


def test_a_fault_ends_with_two_after_the_table(tmp_path, capsys) -> None:
    path = tmp_path / "lots.csv"
    path.write_text("lot,material,moisture [%],diastatic power [L]\nA,rye_malt,45,100\n")
    assert main(["lots", str(path)]) == 2
    said = capsys.readouterr()
    assert "out of range" in said.out
    assert "degrees Lintner" in said.err and "45 % is not possible" in said.err


def test_a_mapping_is_saved_and_used(book, tmp_path, capsys) -> None:
    saved = tmp_path / "map.toml"
    assert main(["lots", str(book), "--save-map", str(saved)]) == 0
    first = capsys.readouterr().out
    assert 'field = "extract_fine_dry_pct"' in saved.read_text()
    assert main(["lots", str(book), "--map", str(saved)]) == 0
    assert capsys.readouterr().out == first
    assert main(["lots", str(book), "--save-map", str(tmp_path / "nowhere" / "map.toml")]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_the_group_has_its_commands(capsys) -> None:
    assert main(["lots", "--help"]) == 0
    out = capsys.readouterr().out
    assert "read" in out and "compare" in out
