"""`gristwright run --stage wash` end to end."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from gristwright.cli.main import main
from gristwright.documents.wash_trials import shown_hours
from house.places import EXAMPLES

POT = EXAMPLES / "all-malt-pot"
COURSE = """course = [{ hours = 12, gravity_sg = 1.048, degC = 24.0 }]
months = [{ month = 1, room_degC = 6 }, { month = 7, room_degC = 24, water_degC = 16 }]
"""


@pytest.fixture
def house(tmp_path: Path) -> Path:
    for name in ("plant.toml", "bill.toml", "lots.csv"):
        shutil.copy(POT / name, tmp_path)
    plant = tmp_path / "plant.toml"
    said = plant.read_text(encoding="utf-8").replace("[washbacks]\n", f"[washbacks]\n{COURSE}", 1)
    plant.write_text(said, encoding="utf-8")
    return tmp_path


def asked(folder: Path, *more: str) -> list[str]:
    return ["run", str(folder / "bill.toml"), "--lots", str(folder / "lots.csv"), "--members", "8", "--stage", "wash",
            *more]  # fmt: skip


def test_the_hours_the_end_the_months_and_what_to_measure_are_told(
    house: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = house / "wash.svg"
    assert main(asked(house, "--chart", str(picture))) == 0
    said = capsys.readouterr().out
    for words in ("not cooled", "at the end", "warmest after", "Measured by the house", "Measure next", "Written:"):
        assert words in said
    january, july = (next(line for line in said.splitlines() if line.startswith(month)) for month in ("Jan", "July"))
    warmest = [float(line.split()[-3]) for line in (january, july)]
    assert warmest[0] < warmest[1]
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    assert max(len(line) for line in said.splitlines() if "Written" not in line) <= 80


def test_as_data_it_says_the_same(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(asked(house, "--json")) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == "gristwright.wash/1"
    assert data["cooled_from_degC"] is None and data["ceiling_degC"] == 34.0
    assert data["measured"] == [{"hours": 12.0, "gravity_sg": 1.048, "degC": 24.0}]
    assert [peak["month"] for peak in data["months"]] == [1, 7]
    assert all(len(course["bands"]) == len(data["times_h"]) for course in data["courses"])


def test_a_brewer_reads_of_his_beer(capsys: pytest.CaptureFixture[str]) -> None:
    folder = EXAMPLES / "raw-barley-beer"
    given = ["--lots", str(folder / "certificates.xlsx"), "--members", "8", "--stage", "wash"]
    assert main(["run", str(folder / "bill.toml"), *given]) == 0
    said = capsys.readouterr().out
    assert "cooled from 18.0 °C" in said and "washback" not in said


def test_hours_stand_close_while_the_wash_works_and_wider_behind() -> None:
    times = [float(t) for t in range(101)]
    assert shown_hours(times) == [0, 6, 12, 18, 24, 30, 36, 42, 48, 60, 72, 84, 96, 100]
    assert shown_hours([0.0, 1.0, 2.0]) == [0, 2]
