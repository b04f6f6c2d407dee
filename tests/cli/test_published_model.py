"""A plan mashed by the published model, from its files to the terminal, the picture, the paper, the desk and the map.

The model has no limit dextrinase, so no course of it is shown; grains and heat it was not fitted to are refused.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from gristwright.casework import mash_house
from gristwright.cli.main import main
from gristwright.documents.mash_part import mash_part_view
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.records.mash_trials import MashPart
from gristwright.workbench.mash_view import mash_view
from house.places import EXAMPLES

WATERS = """model = "brandam2003"
[[mash.waters]]
name = "first"
L_per_kg = 4
settled_degC = 64
[[mash.waters]]
name = "second"
L_per_kg = 1.5
settled_degC = 72
"""
WAY_OUT = "Take a model without that limit, such as two_granules."


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """The invented all-malt house, mashing two waters by the published model."""
    for name in ("plant.toml", "bill.toml", "lots.csv"):
        shutil.copy(EXAMPLES / "all-malt-pot" / name, tmp_path)
    return tmp_path


def mashed(folder: Path, mash: str) -> list[str]:
    """The arguments for its bill, the settled mash of its plant replaced."""
    plant = folder / "plant.toml"
    plant.write_text(plant.read_text(encoding="utf-8").replace("settled_mash_degC = 64\n", mash), encoding="utf-8")
    return [str(folder / "bill.toml"), "--lots", str(folder / "lots.csv")]


def test_a_bill_is_forecast_and_its_mash_told_without_limit_dextrinase(
    house: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = mashed(house, WATERS)
    assert main(["run", *given, "--members", "8"]) == 0
    assert "new spirit filled" in capsys.readouterr().out
    picture = house / "course.svg"
    assert main(["run", *given, "--members", "8", "--stage", "mash", "--chart", str(picture)]) == 0
    printed = capsys.readouterr().out
    assert "alpha  beta\n" in printed and "beta  LD" not in printed
    drawn = picture.read_text(encoding="utf-8")
    assert "beta-amylase" in drawn and "limit dextrinase" not in drawn
    assert main(["run", *given, "--members", "8", "--stage", "mash", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    keys = [course["key"] for course in told["courses"]]
    assert "beta_alive" in keys and "limit_dextrinase_alive" not in keys
    assert {key for wort in told["worts"] for key in wort["alive_pct"]} == {"alpha_alive", "beta_alive"}


def test_paper_and_desk_leave_the_row_out(house: Path) -> None:
    mashed(house, WATERS)
    sheet, lots = read_bill(house / "bill.toml").accepted(), read_lots(house / "lots.csv").accepted()
    run = mash_house.mash_run(sheet, lots, members=64)
    paper = mash_part_view(MashPart(run, None))
    assert paper.enzymes == ("alpha-amylase", "beta-amylase")
    assert all(len(wort.alive) == 2 for wort in paper.worts)
    desk = mash_view(run, None, "", boiled=False).told
    assert desk.enzymes == ("Alpha-amylase", "Beta-amylase")
    assert all(len(wort.cells) == 2 + len(desk.enzymes) for wort in desk.worts)
    assert all(len(row.cells) == len(desk.course.columns) for row in desk.course.rows)
    assert not any("imit dextrinase" in column for column in desk.course.columns)


def test_its_plans_are_varied(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = mashed(house, WATERS)
    assert main(["vary", *given, "--over", "mash.waters.first.settled_degC=62:66:2", "--members", "8"]) == 0
    assert "66" in capsys.readouterr().out


@pytest.mark.parametrize("command", [["run"], ["run", "--stage", "mash"], ["check"]])
def test_raw_rye_is_refused_in_one_sentence(
    house: Path, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    given = mashed(house, WATERS)
    head = "lot,material,starch dry [%],diastatic power [degLintner],dextrinising units [DU]\n"
    (house / "lots.csv").write_text(f"{head}RR-1,raw_rye,60,,\nHE-1,high_enzyme_malt,,210,72\n", encoding="utf-8")
    bill = (house / "bill.toml").read_text(encoding="utf-8").partition("[shares]")[0]
    (house / "bill.toml").write_text(f"{bill}[shares]\nHE-1 = 60\nRR-1 = 40\n", encoding="utf-8")
    assert main([command[0], *given, *command[1:]]) == 2
    refused = capsys.readouterr().err
    what = "brandam2003 knows barley malt and maize, and not raw rye (RR-1)."
    assert " ".join(refused.split()) == f"plant.toml, mash.model: {what} {WAY_OUT}"


def test_a_water_hotter_than_it_was_fitted_at_is_refused(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A plan that states no waters has the usual ones, the third of 82 degC."""
    given = mashed(house, 'settled_mash_degC = 64\nmodel = "brandam2003"\n')
    assert main(["run", *given, "--members", "8"]) == 2
    refused = capsys.readouterr().err
    assert f"brandam2003 was fitted at 37-76 degC, and the plan has 82 degC. {WAY_OUT}" in " ".join(refused.split())
