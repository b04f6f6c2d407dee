"""The commands that do the job, run as a user runs them."""

import json
import re

import pytest

from gristwright.cli.main import main
from scenario import FOLDER, copied

LOTS = str(FOLDER / "lots.csv")


def test_advise_writes_pdf_and_json_and_prints_80_columns(tmp_path, capsys):
    assert (
        main(["advise", str(FOLDER / "enquiry.toml"), "--lots", LOTS, "--out", str(tmp_path / "o"), "--members", "9"])
        == 0
    )
    printed = capsys.readouterr().out
    assert max(len(line) for line in printed.splitlines() if "Written" not in line) <= 80
    assert (tmp_path / "o" / "recommendation.pdf").read_bytes().startswith(b"%PDF")
    data = json.loads((tmp_path / "o" / "recommendation.json").read_text())
    assert data["format"] == "gristwright.recommendation/1"
    assert [len(offer["bill"]["shares"]) for offer in data["offers"]]


def test_impossible_enquiry_is_an_answer_not_an_error(tmp_path, capsys):
    assert (
        main(["advise", str(FOLDER / "impossible.toml"), "--lots", LOTS, "--out", str(tmp_path), "--members", "8"]) == 0
    )
    printed = capsys.readouterr().out
    assert "cannot be had together" in printed
    assert "opens" in printed


def test_refusal_is_exit_2_with_every_sentence_and_nothing_written(tmp_path, capsys):
    folder = copied(tmp_path)
    text = (
        (folder / "enquiry.toml")
        .read_text()
        .replace("EU_SINGLE_MALT", "EU_SINGEL_MALT")
        .replace("step_pct = 5", "step_pct = 7")
    )
    (folder / "enquiry.toml").write_text(text)
    lots = (folder / "lots.csv").read_text().replace("4.6", "46")
    (folder / "lots.csv").write_text(lots)
    out = tmp_path / "out"
    assert main(["advise", str(folder / "enquiry.toml"), "--lots", str(folder / "lots.csv"), "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert "EU_SINGEL_MALT" in said and "7 %" in said and "46 %" in said
    assert not out.exists()
    assert "Traceback" not in said


def test_a_folder_that_cannot_be_written(tmp_path, capsys):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    code = main(["advise", str(FOLDER / "enquiry.toml"), "--lots", LOTS, "--out", str(blocked / "o"), "--members", "8"])
    assert code == 2
    assert str(blocked) in capsys.readouterr().err


@pytest.mark.parametrize("command", ["run", "check"])
def test_run_and_check_print_and_give_json(command, capsys):
    assert main([command, str(FOLDER / "bill.toml"), "--lots", LOTS]) == 0
    printed = capsys.readouterr().out
    assert max(len(line) for line in printed.splitlines()) <= 80
    assert main([command, str(FOLDER / "bill.toml"), "--lots", LOTS, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == "gristwright.forecast/1"
    assert data["figures"]["lpa_per_t"]["unit"] == "L pure alcohol/t"


def test_json_of_advise_is_the_written_file(tmp_path, capsys):
    args = ["advise", str(FOLDER / "enquiry.toml"), "--lots", LOTS, "--out", str(tmp_path), "--members", "8", "--json"]
    assert main(args) == 0
    assert json.loads(capsys.readouterr().out) == json.loads((tmp_path / "recommendation.json").read_text())


def test_help_names_every_command(capsys):
    main(["--help"])
    text = capsys.readouterr().out
    for command in ("advise", "run", "check", "convert", "gauge"):
        assert re.search(rf"^\s+{command}\s", text, re.MULTILINE)
