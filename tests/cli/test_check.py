"""`gristwright check --json`: every fault with its address as an object, and exit code 2."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner, Result

from gristwright.cli.main import cli
from scenario import FOLDER, copied


def check(folder: Path, *more: str) -> Result:
    return CliRunner().invoke(cli, ["check", str(folder / "bill.toml"), "--lots", str(folder / "lots.csv"), *more])


def test_faults_of_every_file_are_told_as_objects(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    plant, lots = folder / "plant.toml", folder / "lots.csv"
    plant.write_text(plant.read_text().replace("count = 6", "count = 0"))
    lots.write_text(lots.read_text().replace("262", "26Z", 1))
    done = check(folder, "--json")
    assert done.exit_code == 2
    told = json.loads(done.stdout)["problems"]
    assert [problem["address"] for problem in told if not problem["warning"]] == [
        {"file": "plant.toml", "path": ["washbacks", "count"]},
        {"file": "lots.csv", "row": 2, "column": 11, "path": ["diastatic power [degWK]"]},
    ]
    assert [problem["sentence"] for problem in told] == done.stderr.splitlines()
    assert check(folder).stdout == ""


def test_a_sound_bill_has_warnings_with_their_addresses() -> None:
    done = check(FOLDER, "--json")
    assert done.exit_code == 0
    told = json.loads(done.stdout)
    assert told["format"] == "gristwright.forecast/1"
    assert [problem["sentence"] for problem in told["problems"]] == told["warnings"]
    assert all(problem["warning"] for problem in told["problems"])
