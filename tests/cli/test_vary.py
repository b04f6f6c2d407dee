"""`gristwright vary` and `gristwright run --stage mash` end to end."""

from __future__ import annotations

import csv
import io
import json
from importlib import import_module
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gristwright.cli.main import cli
from scenario import FOLDER

BILL, LOTS = str(FOLDER / "bill.toml"), str(FOLDER / "lots.csv")
HOT = "mash.settled_degC=64,71"
WIDE = "mash.liquor_L_per_kg=3.5,5.5"


def vary(*words: str) -> Result:
    return CliRunner().invoke(cli, ["vary", BILL, "--lots", LOTS, "--members", "7", *words])


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["run", BILL, "--lots", LOTS, "--members", "8", *words])


def test_one_setting_prints_changes_and_writes(tmp_path: Path) -> None:
    table, picture = tmp_path / "new" / "grid.csv", tmp_path / "grid.svg"
    done = vary("--over", HOT, "--csv", str(table), "--chart", str(picture))
    assert done.exit_code == 0, done.output
    assert max(len(line) for line in done.stdout.splitlines() if "Written" not in line) <= 80
    for words in ("settled mash 64 degC", "change against the plan", "too fermentable", "worst board"):
        assert words in " ".join(done.stdout.split())
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert [row["plan"] for row in rows] == ["as it stands", "1", "2"]
    assert float(rows[1]["change_lpa_per_t_middle"]) == 0.0
    assert float(rows[2]["change_lpa_per_t_high"]) < 0.0
    assert not [path for path in tmp_path.rglob("*") if path.name.startswith(".")]


def test_two_settings_as_tables_and_as_json() -> None:
    done = vary("--over", HOT, "--over", WIDE)
    assert done.exit_code == 0, done.output
    assert "L/kg \\ degC" in done.stdout
    assert "cannot" in done.stdout
    assert "second water" in done.stdout
    data = json.loads(vary("--over", HOT, "--over", WIDE, "--json").stdout)
    assert data["format"] == "gristwright.vary/1"
    assert [cell["at"] for cell in data["cells"]][1] == {"mash.settled_mash_degC": 64.0, "mash.liquor_L_per_kg": 5.5}
    assert data["cells"][1]["cannot"] and data["cells"][1]["margin"] is None
    assert data["cells"][0]["figures"][0]["unit"] == "L pure alcohol/t"
    assert all(a["standing"] and a["source"] for a in data["assumptions"])


def test_the_same_seed_gives_the_same_answer() -> None:
    first, second = (vary("--over", "mash.stand_min=30,60", "--json").stdout for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--over", "mash.settled_degC=62,5:70:1"], "cannot be a decimal comma"),
        (["--over", "mash.settled_degC=30:90:20"], "30 degC is outside 40-78 degC"),
        (["--over", HOT, "--chart", "grid.gif"], "ends on none of .svg, .png, .pdf"),
        (["--over", "mash.cook_degC=100"], "no cooker"),
        (["--over", HOT, "--over", WIDE, "--over", "mash.stand_min=30"], "3 settings"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(words: list[str], said: str, tmp_path: Path) -> None:
    done = vary(*words, "--csv", str(tmp_path / "grid.csv"))
    assert done.exit_code == 2
    assert said in done.output
    assert not list(tmp_path.iterdir())


def test_every_fault_of_the_line_comes_at_once() -> None:
    done = vary("--over", "mash.nothing=3", "--over", "mash.stand_min=a", "--chart", "grid.gif")
    for words in ("mash.nothing", "'a' is not a number", "grid.gif"):
        assert words in done.output


def test_stopped_it_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    # Through the room the name is the function; the module is asked for by itself.
    monkeypatch.setattr(import_module("gristwright.casework.mash_house.vary"), "_cell", stop)
    done = vary("--over", HOT, "--csv", str(tmp_path / "grid.csv"), "--chart", str(tmp_path / "grid.svg"))
    assert done.exit_code == 1
    assert not list(tmp_path.iterdir())


def test_a_file_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    done = vary("--over", HOT, "--csv", str(tmp_path / "file" / "grid.csv"))
    assert done.exit_code == 2
    assert "cannot be written" in done.output


def test_the_stage_mash_prints_its_course_and_draws(tmp_path: Path) -> None:
    picture = tmp_path / "mash.png"
    done = run("--stage", "mash", "--chart", str(picture))
    assert done.exit_code == 0, done.output
    assert max(len(line) for line in done.stdout.splitlines() if "Written" not in line) <= 80
    for words in ("maltose", "first water", "next mash", "Measure next", "fermentable unboiled", "What it misses"):
        assert words in done.stdout
    assert picture.read_bytes().startswith(b"\x89PNG")


def test_the_stage_mash_as_json() -> None:
    data = json.loads(run("--stage", "mash", "--json").stdout)
    assert data["format"] == "gristwright.mash_run/1"
    assert {len(course["bands"]) for course in data["courses"]} == {len(data["times_min"])}
    assert data["worts"][0]["goes_to"] == "washback"
    assert all(a["standing"] for a in data["assumptions"])


def test_a_picture_of_a_whole_bill_is_refused() -> None:
    done = run("--chart", "mash.svg")
    assert done.exit_code == 2
    assert "Add --stage mash or --stage wash." in done.output
    assert run("--stage", "mash", "--chart", "mash.txt").exit_code == 2
