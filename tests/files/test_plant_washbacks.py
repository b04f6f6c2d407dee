"""The washbacks of a plant file: what is read, what is refused with its place, and that all of it comes back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gristwright.files.jobs_out import enquiry_files
from gristwright.files.plant_in import plant_data, read_plant
from gristwright.files.toml_out import toml_text
from gristwright.records.washbacks import Washbacks, WashMonth, WashReading
from gristwright.store.frozen import canonical
from scenario import FOLDER, enquiry, lots

WHOLE = """cooling = "coil"
yeast = "distilling"
pitch_million_per_mL = "12,5"
viability_pct = 94
room_degC = "17,5"
cooling_m2 = 4.5
water_degC = 11
cooled_from_degC = 31
ceiling_degC = 33
wall = "wood"
bacteria = "clean"

[[washbacks.course]]
hours = 0
gravity_sg = "1,0550"

[[washbacks.course]]
hours = 12.5
degC = 27

[[washbacks.course]]
hours = 30
gravity_sg = 1.012
degC = 32

[[washbacks.months]]
month = 7
room_degC = 24
water_degC = "16,5"

[[washbacks.months]]
month = "1"
room_degC = -2
"""
READ = Washbacks(
    6, 12_500.0, 72.0, 20.0, "coil", "distilling", 12.5, 94.0, 17.5, 4.5, 11.0, 31.0, 33.0, "wood", "clean",
    (WashReading(0.0, 1.055), WashReading(12.5, None, 27.0), WashReading(30.0, 1.012, 32.0)),
    (WashMonth(7, 24.0, 16.5), WashMonth(1, -2.0)),
)  # fmt: skip


def read(folder: Path, said: str) -> tuple[Washbacks, list[str]]:
    text = (FOLDER / "plant.toml").read_text(encoding="utf-8")
    path = folder / "plant.toml"
    path.write_text(text.replace("set_degC = 20\n", f"set_degC = 20\n{said}\n"), encoding="utf-8")
    problems: list[object] = []
    plant, _ = read_plant(path, problems)  # type: ignore[arg-type]
    return plant.washbacks, [problem.sentence() for problem in problems]  # type: ignore[attr-defined]


def test_everything_said_is_read_and_reads_back(tmp_path: Path) -> None:
    assert read(tmp_path, WHOLE) == (READ, [])
    plant = replace(enquiry().plant, washbacks=READ)
    path = tmp_path / "again.toml"
    path.write_text(toml_text({"format": "gristwright.plant/2", **plant_data(plant)}), encoding="utf-8")
    assert read_plant(path, [], distils=False)[0] == plant


def test_an_enquiry_taken_away_holds_them() -> None:
    asked = replace(enquiry(), plant=replace(enquiry().plant, washbacks=READ))
    text = enquiry_files(asked, lots())["plant.toml"].decode()
    assert text.count("[[washbacks.course]]") == 3
    assert text.count("[[washbacks.months]]") == 2


def test_a_house_that_says_nothing_of_them_is_frozen_as_before(tmp_path: Path) -> None:
    washbacks, problems = read(tmp_path, "")
    assert problems == []
    text = canonical(washbacks)
    assert not [name for name in ("yeast", "pitch", "room", "course", "months", "wall", "bacteria") if name in text]
    assert '"yeast":"ale"' in canonical(replace(washbacks, yeast="ale"))


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ('yeast = "destilling"', "washbacks.yeast: 'destilling' is not known here. Did you mean 'distilling'?"),
        ('bacteria = "filthy"', "washbacks.bacteria: 'filthy' is not known here. Use one of: clean, dirty, usual."),
        ("pitch = 12", "washbacks.pitch: is not a field we know. Did you mean 'pitch_million_per_mL'?"),
        ("room_temp_degC = 12", "washbacks.room_temp_degC: is not a field we know. Did you mean 'room_degC'?"),
        ("pitch_million_per_mL = 12000000", "outside 0.5-200 million cells/mL. Write it in millions: 12."),
        ("room_degC = 64", "washbacks.room_degC: 64 degC is outside -10-45 degC. Write it in degC: 64 degF is 17.8"),
        ("course = [{hours = 0, gravity_sg = 1055}]", "course 1.gravity_sg: 1055 SG is outside 0.98-1.13 SG. "
         "Write it with its point: 1.055."),
        ("course = [{gravity_sg = 1.05}]", "washbacks.course 1.hours: is missing. Give it in h, between 0 and 200."),
        ("course = [{hours = 0, gravity = 1.05}]", "course 1.gravity: is not a field we know. Did you mean"),
        ("course = 3", "washbacks.course: is not a list of tables. Write each as [[washbacks.course]]."),
        ("months = [{room_degC = 3}]", "washbacks.months 1.month: is missing. Give it between 1 and 12."),
        ("months = [{month = 2.5, room_degC = 3}]", "months 1.month: 2.5 is not a whole number. Give 2 or 3."),
        ('months = [{month = "March", room_degC = 3}]', "washbacks.months 1.month: 'March' is not a number."),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_one_sentence_with_its_place(tmp_path: Path, said: str, sentence: str) -> None:
    _, [told] = read(tmp_path, said)
    assert told.startswith("plant.toml, washbacks.")
    assert sentence in told


def test_faults_between_fields_are_told_with_those_of_each(tmp_path: Path) -> None:
    said = (
        'cooling = "none"\ncooling_m2 = 4\nwater_degC = 99\nceiling_degC = 18\n'
        "course = [{hours = 12, gravity_sg = 1.03}, {hours = 6, gravity_sg = 2}, {hours = 3}]\n"
        "months = [{month = 3, room_degC = 9}, {month = 3, room_degC = 9}]"
    )
    _, problems = read(tmp_path, said)
    places = [problem.partition(": ")[0].removeprefix("plant.toml, washbacks.") for problem in problems]
    assert sorted(places) == [
        "ceiling_degC", "cooling_m2", "course 2.gravity_sg", "course 2.hours", "course 3", "course 3.hours",
        "months 2.month", "water_degC",
    ]  # fmt: skip


def test_what_is_only_unusual_is_no_fault_of_a_file(tmp_path: Path) -> None:
    said = (
        'yeast = "leaves maltotriose"\ncourse = [{hours = 0, gravity_sg = 1.05}]\nmonths = [{month = 3, room_degC = 9}]'
    )
    assert read(tmp_path, said)[1] == []
