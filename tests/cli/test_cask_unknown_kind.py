"""Casks of no kind that is said: named by row, counted and not forecast, and the command ends with 1.

The ledger is another house's, in US gallons, US proof and degrees Fahrenheit; it is invented.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gristwright.cli.main import cli
from gristwright.files.casks_in import read_casks
from gristwright.quantities import alcoholometry
from gristwright.quantities.proof import US_GALLON_L, abv_pct_from_us_proof, lpa_per_proof_gallon

HEAD = "date,cask,what,US gallons,US proof,temp F,method,store,spirit,cask kind,wood,capacity US gal,fill,charred,note"
LINES = (
    "2019-04-02,B-101,filled,53,125,60,metered,rick house 4,bourbon mash,Barrel,american oak,53,1,yes,",
    "2019-04-02,B-102,filled,53,125,60,metered,rick house 4,bourbon mash,,american oak,,1,yes,kind not noted",
    "2019-04-02,B-103,filled,40,118,60,metered,rick house 4,rye mash,yard tun,,,1,yes,",
    "2019-04-02,B-104,filled,198 litres,62.5 %vol,15.56C,metered,rick house 4,bourbon mash,BARREL,american oak,,1,yes,",
    "2023-05-10,B-101,gauged,46.1,129.4,71,metered,,,,,,,,",
    "2023-05-10,B-102,gauged,45.8,129.1,71,metered,,,,,,,,",
)
WORDS = ("--climate", "18 degC 55 %", "--on", "2026-11-25", "--draws", "64")


def ledger(folder: Path, *lines: str) -> Path:
    path = folder / "casks.csv"
    path.write_text("\n".join([HEAD, *(lines or LINES)]) + "\n", encoding="utf-8")
    return path


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["cask", *words])


@pytest.fixture
def casks(tmp_path: Path) -> str:
    return str(ledger(tmp_path))


def test_gallons_proof_and_fahrenheit_are_read(casks: str) -> None:
    """A US gallon is 3.785411784 L, US proof twice the %vol at 60 degF (27 CFR 30.11)."""
    first, *_ = read_casks(Path(casks)).accepted()
    assert first.litres == pytest.approx(53 * US_GALLON_L)
    assert first.abv_pct == pytest.approx(abv_pct_from_us_proof(125.0))
    assert first.degC == pytest.approx((60.0 - 32.0) / 1.8)
    assert first.kind is not None
    assert (first.kind.name, first.kind.capacity_L) == ("barrel", pytest.approx(53 * US_GALLON_L))
    assert first.litres is not None and first.abv_pct is not None and first.degC is not None
    alcohol = alcoholometry.lpa_from_litres(first.litres, first.abv_pct, first.degC)
    assert alcohol == pytest.approx(53 * 1.25 * lpa_per_proof_gallon(), rel=1e-6)


def test_a_cell_may_say_its_own_unit(casks: str) -> None:
    last = read_casks(Path(casks)).accepted()[3]
    assert (last.litres, last.abv_pct, last.degC) == (198.0, 62.5, 15.56)


def test_they_are_named_counted_and_end_the_command_with_1(casks: str) -> None:
    done = run("forecast", casks, *WORDS, "--years", "2")
    assert done.exit_code == 1, done.output
    said = " ".join(done.output.split())
    assert "2 casks and 2 of a kind not known on 2026-11-25" in said
    assert "B-102 (row 3), B-103 (row 4)" in said
    assert "casks.csv, row 3, kind: the kind of B-102 is not given." in said
    assert "row 4, kind: 'yard tun' is no kind of cask we know, for B-103." in said
    assert "Give its wood as well." in said
    assert "Its litres are counted; its loss is not forecast." in said


def test_the_totals_hold_their_last_gauge(casks: str) -> None:
    done = run("forecast", casks, *WORDS, "--years", "2", "--json")
    assert done.exit_code == 1
    found = json.loads(done.stdout)
    assert [cask["cask_id"] for cask in found["unknown"]] == ["B-102", "B-103"]
    gauged = found["unknown"][0]
    degC = (71.0 - 32.0) / 1.8
    abv = abv_pct_from_us_proof(129.1)
    assert gauged["rla_L"] == pytest.approx(alcoholometry.lpa_from_litres(45.8 * US_GALLON_L, abv, degC))
    assert set(found["by_cask"]) == {"B-101", "B-104"}


def test_a_statement_of_another_cask_is_written_all_the_same(casks: str, tmp_path: Path) -> None:
    done = run("statement", casks, "B-101", *WORDS, "--out", str(tmp_path))
    assert done.exit_code == 1
    assert (tmp_path / "cask-B-101.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "cask-B-101.json").exists()
    assert "Kind not known: 2 casks" in done.output


def test_a_statement_of_one_of_them_is_refused_with_the_way_out(casks: str, tmp_path: Path) -> None:
    done = run("statement", casks, "B-102", *WORDS, "--out", str(tmp_path / "none"))
    assert done.exit_code == 2
    assert "casks.csv, row 3, kind: the kind of B-102 is not known" in done.stderr
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("command", [("regauge",), ("vat", "--litres", "100", "--abv", "46")])
def test_the_other_commands_end_with_1_too(casks: str, command: tuple[str, ...]) -> None:
    done = run(command[0], casks, *WORDS, *command[1:])
    assert done.exit_code == 1, done.output
    assert "B-102" in done.output


def test_spirit_racked_out_of_one_keeps_what_is_not_known_of_its_age(tmp_path: Path) -> None:
    """Its stay in a cask nobody described never surely counts as age, and may."""
    lines = (
        LINES[1],
        "2023-05-10,B-102,emptied,,,,,,,,,,,,",
        "2023-05-10,C-1,filled,45,129,71,metered,rick house 4,bourbon mash,barrel,american oak,,2,yes,",
    )
    path = ledger(tmp_path, *lines)
    text = path.read_text("utf-8").replace(",note", ",note,from").replace("2,yes,\n", "2,yes,,B-102\n")
    path.write_text(text, "utf-8")
    done = run("statement", str(path), "C-1", *WORDS, "--out", str(tmp_path))
    assert done.exit_code == 0, done.output
    assert "3 years, 6 months, 15 days" in done.output


def test_a_vat_without_its_litres_is_still_left_out(tmp_path: Path) -> None:
    path = ledger(tmp_path, LINES[0], "2024-01-01,V-1,filled,500,120,60,metered,,mash,vat,,,,,")
    (problem,) = read_casks(path).problems
    assert "a vat without its litres" in problem.sentence() and "left out" in problem.sentence()
