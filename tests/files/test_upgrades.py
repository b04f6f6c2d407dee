"""Files of version 1 say the same as those of version 2, and are spoken of in their own names."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gristwright.basics import Address, Problem
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.files.plant_in import read_plant
from gristwright.files.upgrades import upgraded
from house.places import EXAMPLES

OLD = Path(__file__).parent / "version_1"
BILLS = sorted(path.relative_to(OLD) for path in OLD.rglob("*.toml") if path.name in ("bill.toml", "without.toml"))
ENQUIRIES = sorted(
    path.relative_to(OLD) for path in OLD.rglob("*.toml") if path.name in ("enquiry.toml", "impossible.toml")
)


@pytest.mark.parametrize("name", BILLS, ids=str)
def test_a_bill_with_its_plant_says_the_same(name: Path) -> None:
    assert "/1" in (OLD / name).read_text(encoding="utf-8")
    assert read_bill(OLD / name).accepted() == read_bill(EXAMPLES / name).accepted()


@pytest.mark.parametrize("name", ENQUIRIES, ids=str)
def test_an_enquiry_says_the_same(name: Path) -> None:
    # What could not be asked then is left out.
    now = replace(read_enquiry(EXAMPLES / name).accepted(), asked=())
    assert read_enquiry(OLD / name).accepted() == now


def faults_of(folder: Path, mash: str, cask: str = "") -> list[Problem]:
    text = (OLD / "all-malt-pot" / "plant.toml").read_text(encoding="utf-8")
    text = text.replace("settled_mash_degC = 64", mash).replace('kind = "barrel"', f'kind = "barrel"\n{cask}')
    path = folder / "plant.toml"
    path.write_text(text, encoding="utf-8")
    problems: list[Problem] = []
    read_plant(path, problems)
    return problems


@pytest.mark.parametrize(
    ("mash", "cask", "path"),
    [
        ("water = {calcium_mg_per_L = 9000, alkalinity_mg_per_L = 60}", "", ("mash", "water", "calcium_mg_per_L")),
        ("water = {calcium_mg_per_L = 60}", "", ("mash", "water", "alkalinity_mg_per_L")),
        ("waters.first = {L_per_kg = 40, settled_degC = 64}", "", ("mash", "waters", "first", "L_per_kg")),
        ("waters.fifth = {L_per_kg = 4, settled_degC = 64}", "", ("mash", "waters", "fifth")),
        ("settled_mash_degC = 64", "capacity_L = 90000", ("cask", "capacity_L")),
        ("settled_mash_degC = 64", "wall_mm = 'thick'", ("cask", "wall_mm")),
    ],
)
def test_a_fault_has_the_address_that_the_file_itself_has(
    tmp_path: Path, mash: str, cask: str, path: tuple[str | int, ...]
) -> None:
    assert Address("plant.toml", path=path) in [problem.address for problem in faults_of(tmp_path, mash, cask)]


def test_a_whole_mash_had_a_name_of_its_own() -> None:
    tree, names = upgraded("plant", 1, {"kind": "grain-in", "mash": {"mash_L_per_t": 4400, "wort_L_per_t": 1}})
    assert tree["mash"] == {"wort_L_per_t": 4400, "wort": 1}
    assert names["mash", "wort_L_per_t"] == ("mash", "mash_L_per_t")
    assert names["mash", "wort"] == ("mash", "wort_L_per_t")


def test_the_newest_version_is_left_as_it_is() -> None:
    data = {"format": "gristwright.plant/2", "mash": {"waters": [{"name": "first"}]}}
    assert upgraded("plant", 2, data) == ({"mash": {"waters": [{"name": "first"}]}}, {})
