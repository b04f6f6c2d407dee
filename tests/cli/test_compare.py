"""`gristwright lots compare`, the command itself: names in a file of lots, or two files of one lot each."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gristwright.basics import Refused
from gristwright.cli.compare_lots import compare
from scenario import FOLDER

BILL, LOTS = str(FOLDER / "bill.toml"), str(FOLDER / "lots.csv")


def run(*args: str) -> Result:
    return CliRunner().invoke(compare, [*args, "--bill", BILL, "--members", "8"])


def alone(folder: Path, lot: str, called: str) -> str:
    """A file with one lot of the scenario under a name."""
    rows = Path(LOTS).read_text(encoding="utf-8").splitlines()
    row = next(row for row in rows if row.startswith(f"{lot},"))
    path = folder / f"{lot}.csv"
    path.write_text(f"{rows[0]}\n{row.replace(lot, called, 1)}\n", encoding="utf-8")
    return str(path)


def test_by_name_it_prints_80_columns():
    done = run("PD-1", "PD-2", "--lots", LOTS)
    assert done.exit_code == 0
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    for words in ("New spirit", "To adjust", "differs", "Measure next", "wide side"):
        assert words in done.stdout


def test_two_files_say_the_same_also_under_one_name(tmp_path):
    by_name = json.loads(run("PD-1", "PD-2", "--lots", LOTS, "--json").stdout)
    old, new = alone(tmp_path, "PD-1", "PD-1"), alone(tmp_path, "PD-2", "PD-1")
    by_file = json.loads(run(old, new, "--json").stdout)
    assert by_file["new"] == "PD-1 (new)"
    assert by_file["changes"]["lpa_per_t"]["middle"] == by_name["changes"]["lpa_per_t"]["middle"]


def test_a_file_beside_a_file_of_lots(tmp_path):
    data = json.loads(run("PD-1", alone(tmp_path, "PD-2", "PD-7"), "--lots", LOTS, "--json").stdout)
    assert data["new"] == "PD-7" and data["format"] == "gristwright.lot_comparison/1"


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("PD-1", "PD-2"), "no file of lots"),
        (("PD-1", "PD-9", "--lots", LOTS), "'PD-9' has no certificate"),
        (("PD-2", "PD-1", "--lots", LOTS), "does not hold lot 'PD-2'"),
        ((LOTS, "PD-2", "--lots", LOTS), "holds 4 lots where one is wanted"),
    ],
)
def test_what_cannot_be_is_refused(args, words):
    done = run(*args)
    assert isinstance(done.exception, Refused)
    assert words in str(done.exception)
