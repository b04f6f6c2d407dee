"""What only the mash-house order reads of a plant file, with every fault at once."""

from pathlib import Path

from gristwright.basics import Problem
from gristwright.files.plant_in import read_plant
from gristwright.records.plant import MashPlan, Water
from scenario import FOLDER


def read(folder: Path, added: str, under: str) -> tuple[MashPlan, list[Problem]]:
    text = (FOLDER / "plant.toml").read_text(encoding="utf-8")
    text = text.replace("settled_mash_degC = 64", f"settled_mash_degC = 64\n{added}")
    path = folder / "plant.toml"
    path.write_text(text.replace("[washbacks]", f"{under}\n[washbacks]"), encoding="utf-8")
    problems: list[Problem] = []
    plant, _ = read_plant(path, problems)
    return plant.mash, problems


def test_without_them_the_usual_ones_stand(tmp_path: Path) -> None:
    plan, problems = read(tmp_path, "", "")
    assert problems == []
    assert (plan.waters, plan.grist_degC, plan.bag_kg, plan.silo_kg) == ((), 15.0, 25.0, 5.0)


def test_they_are_read(tmp_path: Path) -> None:
    added = (
        "grist_degC = 8\nbag_kg = 20\nsilo_kg = 10\nmill_gap_mm = 0.9\npH_aim = 5.35\nstand_min = 30\nvessel_loss_K = 1"
    )
    under = "[[mash.waters]]\nname = 'first'\nL_per_kg = 4\nsettled_degC = 63.5\n"
    under += "[[mash.waters]]\nname = 'second'\nL_per_kg = 1.5\nsettled_degC = 74"
    plan, problems = read(tmp_path, added, under)
    assert problems == []
    assert plan.waters == (Water("first", 4.0, 63.5), Water("second", 1.5, 74.0))
    assert (plan.grist_degC, plan.bag_kg, plan.silo_kg, plan.mill_gap_mm) == (8.0, 20.0, 10.0, 0.9)
    assert (plan.pH_aim, plan.stand_min, plan.vessel_loss_K) == (5.35, 30.0, 1.0)


def test_every_fault_is_told(tmp_path: Path) -> None:
    under = "[[mash.waters]]\nname = 'second'\nL_per_kg = 40\nsettled_degC = 740\ntypo = 1\n"
    under += "[[mash.waters]]\nname = 'fifth'\nL_per_kg = 1"
    _, problems = read(tmp_path, "pH_aim = 9", under)
    said = "\n".join(problem.sentence() for problem in problems)
    for words in ("40 L/kg", "740 degC", "mash.waters 1.typo", "mash.waters 2.name: 'fifth' is no water", "9 pH"):
        assert words in said, words
