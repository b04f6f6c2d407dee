"""`gristwright specify` as a user runs it."""

import json

from gristwright.cli.main import main
from scenario import FOLDER

BILL, LOTS = str(FOLDER / "bill.toml"), str(FOLDER / "lots.csv")


def test_it_writes_two_files_and_prints_80_columns(tmp_path, capsys):
    args = ["specify", BILL, "--lots", LOTS, "--out", str(tmp_path), "--value-per-lpa", "3,2", "--members", "8"]
    assert main(args) == 0
    printed = capsys.readouterr().out
    assert max(len(line) for line in printed.splitlines() if "Written" not in line) <= 80
    assert "3.2 EUR a litre" in printed and "moisture" in printed and "EUR/t" in printed
    assert (tmp_path / "specification.pdf").read_bytes().startswith(b"%PDF")


def test_json_is_the_written_file(tmp_path, capsys):
    assert main(["specify", BILL, "--lots", LOTS, "--out", str(tmp_path), "--members", "8", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == json.loads((tmp_path / "specification.json").read_text())


def test_a_value_that_cannot_be_is_refused_and_nothing_written(tmp_path, capsys):
    out = tmp_path / "out"
    assert main(["specify", BILL, "--lots", LOTS, "--out", str(out), "--value-per-lpa", "5000"]) == 2
    assert "5000 a litre" in capsys.readouterr().err
    assert not out.exists()
