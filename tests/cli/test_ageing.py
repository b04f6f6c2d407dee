"""`gristwright ageing` end to end: statement, files, plan, refusals."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from gristwright.cli.main import main
from house.places import EXAMPLES
from programme import FOLDER

LADDER, ARMS = str(FOLDER / "ladder.csv"), str(FOLDER / "arms.csv")


def test_claim_prints_and_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ended = main(["ageing", "claim", LADDER, ARMS, "--claim", "3:6-8", "--out", str(tmp_path), "--chart"])
    said = capsys.readouterr().out
    assert ended == 0
    assert "Higher sweetness, no evidence of greater maturity" in " ".join(said.split())
    assert "None of these ages may stand on a label" in said
    assert max(len(line) for line in said.splitlines() if "Written" not in line) <= 80
    assert {path.name for path in tmp_path.iterdir()} >= {"claim.pdf", "claim.json", "claim-reading-0.svg"}
    view = json.loads((tmp_path / "claim.json").read_text(encoding="utf-8"))
    assert view["format"] == "gristwright.claim/1"
    assert view["invented"]


def test_the_same_casks_give_the_same_bytes(tmp_path: Path) -> None:
    for folder in ("one", "two"):
        assert main(["ageing", "claim", LADDER, ARMS, "--out", str(tmp_path / folder)]) == 0
    first, second = ((tmp_path / folder / "claim.pdf").read_bytes() for folder in ("one", "two"))
    assert first == second


def test_claim_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ageing", "claim", LADDER, ARMS, "--json", "--out", str(tmp_path)]) == 0
    arms = {arm["arm"]: arm for arm in json.loads(capsys.readouterr().out)["arms"]}
    assert arms["A"]["statement"] == "sweeter"
    assert arms["B"]["statement"] == "reads_older"


@pytest.mark.parametrize("text", ["6-8", "3:", "three:six"])
def test_a_claim_that_is_none_is_refused(text: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["ageing", "claim", LADDER, ARMS, "--claim", text, "--out", str(tmp_path)]) == 2
    assert "such as 3:6-8" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_one_age_is_refused_in_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one = tmp_path / "one.csv"
    lines = (FOLDER / "ladder.csv").read_text(encoding="utf-8").splitlines()
    one.write_text("\n".join(line for line in lines if not line.startswith(("R6", "R8", "R12"))), encoding="utf-8")
    assert main(["ageing", "claim", str(one), ARMS, "--out", str(tmp_path / "out")]) == 2
    assert "one age is no ladder" in capsys.readouterr().err


def test_plan(capsys: pytest.CaptureFixture[str]) -> None:
    given = ["ageing", "plan", "--claim", "3:6-8", "--casks", "6", "--cask-cost", "100"]
    assert main(given) == 0
    said = capsys.readouterr().out
    assert "6 casks an arm" in said
    assert max(map(len, said.splitlines())) <= 80
    assert main([*given, "--json"]) == 0
    view = json.loads(capsys.readouterr().out)
    assert len(view["draw"]) == 12
    assert view["assumptions"]


def test_a_plan_beyond_the_ladder_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ageing", "plan", "--claim", "3:15"]) == 2
    assert "lies outside the ages 3 to 12" in capsys.readouterr().err


def test_what_cannot_be_read_is_told_all_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = ["ageing", "claim", LADDER, str(tmp_path / "nowhere.csv"), "--claim", "6-8", "--confidence", "95"]
    assert main([*given, "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    for part in ("'6-8' is no claim", "95 is not between", "nowhere.csv: is not there"):
        assert part in said


def test_markers_that_never_change_are_no_fault_of_ours(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every marker the same in every cask: answered from the panel, and nothing but the answer is printed."""
    paths = [tmp_path / "ladder.csv", tmp_path / "arms.csv"]
    for path in paths:
        lines = (FOLDER / path.name).read_text(encoding="utf-8").splitlines()
        head, *rows = csv.reader(lines[1:])
        measured = [place for place, name in enumerate(head) if "[" in name and "[0-10]" not in name]
        with path.open("w", encoding="utf-8", newline="") as stream:
            made = csv.writer(stream)
            made.writerow(head)
            for row in rows:
                made.writerow([cell and ("5" if place in measured else cell) for place, cell in enumerate(row)])
    assert main(["ageing", "claim", *map(str, paths), "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr()
    assert "no chemistry could be read" in " ".join(said.out.split())
    assert said.err == ""


def test_a_plan_that_no_trial_reaches_says_what_helps(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ageing", "plan", "--claim", "3:6-8", "--false-rate", "0.1", "--panel-spread", "1.5"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "at most 10 % by design, on 90 % intervals" in said
    assert "24 assessors" in said and "references and arms together in each" in said


SMOKED = ["ageing", "markers", "smoked", "--lpa", "410", "--abv", "68"]


def test_markers_are_told_ppm_to_ppm_and_by_mass(capsys: pytest.CaptureFixture[str]) -> None:
    """A trade pair from memory: 54 mg/kg and 24 mg/L are 44 % ppm to ppm and 27 % by mass at 410 L/t and 68 %vol."""
    given = [*SMOKED, "--smoke", "peat", "--malt", "phenols=54", "--lab", "phenols=54:24"]
    assert main(given) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "44.4 % ppm to ppm" in said and "26.8 % by mass" in said
    assert "of which phenol and cresols: partly" in said
    assert main([*given, "--json"]) == 0
    view = json.loads(capsys.readouterr().out)
    assert {chain["marker"] for chain in view["markers"]} == {"phenol", "guaiacol"}
    assert [chain["marker"] for chain in view["sums"]] == ["phenols"]


@pytest.mark.parametrize("smoke", ["peat", "beech", "oak", "Buche"])
def test_a_total_of_nine_stays_nine(smoke: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*SMOKED, "--smoke", smoke, "--malt", "phenols=9", "--json"]) == 0
    view = json.loads(capsys.readouterr().out)
    assert sum(chain["steps"][0]["middle"] for chain in view["markers"]) == pytest.approx(9.0)
    assert all(chain["steps"][0]["standing"] != "measured" for chain in view["markers"])


def test_a_certificate_tells_smoke_figures_and_age(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Oak-smoked wheat malt of 9 mg/kg: 9 in all, and its age at mashing is asked or taken from the lot."""
    file = tmp_path / "lots.csv"
    head = "Charge;Malzart;Wassergehalt [%];Phenole gesamt (HPLC) lftr. [mg/kg];Lagerdauer [Monate]\n"
    file.write_text(head + "R-2;Eichenrauch-Weizenmalz;5,2;9;\nR-3;Eichenrauch-Weizenmalz;5,2;9;12\n", encoding="utf-8")
    given = ["ageing", "markers", "--lots", str(file), "--lpa", "390", "--abv", "68", "--json", "--lot"]
    assert main([*given, "R-2"]) == 0
    fresh = json.loads(capsys.readouterr().out)
    smoke = [chain for chain in fresh["markers"] if chain["part_of"] == "phenols"]
    assert sum(chain["steps"][0]["middle"] for chain in smoke) == pytest.approx(9.0)
    assert any("--store MONTHS" in sentence for sentence in fresh["asked"])
    assert "vinylguaiacol" in {chain["marker"] for chain in fresh["markers"]}
    assert main([*given, "R-3"]) == 0
    aged = json.loads(capsys.readouterr().out)
    assert aged["sums"][0]["steps"][1]["step"] == "store" and aged["asked"] == []
    assert main([*given, "R-9"]) == 2
    assert "'R-9' is no lot of lots.csv. It holds: R-2, R-3" in " ".join(capsys.readouterr().err.split())


def test_the_smoke_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*SMOKED, "--malt", "phenols=9"]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert "it is not said what the malt was smoked with" in said
    assert "Give --smoke peat, beech, oak, or your own analysis by marker: --malt phenol=" in said


def test_a_smoke_without_a_pattern_is_refused_by_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*SMOKED, "--smoke", "cherry", "--malt", "phenols=9"]) == 2
    assert "'cherry' is no smoke whose pattern of phenols is known" in capsys.readouterr().err
    own = ["--malt", "phenol=2", "--malt", "guaiacol=2", "--malt", "syringol=5"]
    assert main([*SMOKED, "--smoke", "cherry", *own]) == 0


def test_markers_name_every_fault(capsys: pytest.CaptureFixture[str]) -> None:
    given = ["ageing", "markers", "caramel", "--lpa", "4", "--abv", "168", "--cut", "30", "--share", "0"]
    assert main([*given, "--years", "-1", "--malt", "toffee=1", "--lab", "furfural=1"]) == 2
    said = capsys.readouterr().err
    for part in (
        "4 L pure",
        "168 %vol",
        "30 %vol",
        "0 % of the grist",
        "-1 years",
        "toffee",
        "'furfural=1' cannot be read",
    ):
        assert part in said


def test_a_bill_is_followed_through_its_own_house(capsys: pytest.CaptureFixture[str]) -> None:
    """Two smokes over pale malt, each by its share: amounts of the bill, and the reason beside each verdict."""
    folder = EXAMPLES / "two-smokes"
    given = ["ageing", "markers", "--bill", str(folder / "bill.toml"), "--lots", str(folder / "lots.csv")]
    assert main(given) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "in the new spirit as filled, at 62.0 %vol" in said
    assert "says nothing of spirit" in said and "does not pass" in said
    assert main([*given, "--json"]) == 0
    view = json.loads(capsys.readouterr().out)
    syringol = next(one for one in view["markers"] if one["marker"] == "syringol")
    assert syringol["verdict"] == "does_not_pass" and syringol["lots"] == ["BS-5", "OW-5"]


def test_a_lot_alone_needs_the_figures_of_its_house(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ageing", "markers", "caramel", "--lpa", "390"]) == 2
    assert "--bill" in capsys.readouterr().err
