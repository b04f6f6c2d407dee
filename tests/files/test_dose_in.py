"""A series of doses in an enquiry file: read by its fields, every fault with its place, written out as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from gristwright.files.jobs_in import read_enquiry
from gristwright.files.jobs_out import enquiry_files
from gristwright.records.dose import DoseAsked
from scenario import FOLDER, copied, enquiry, lots


def test_the_table_is_read_in_per_cent_and_years() -> None:
    dose = enquiry("dose.toml").dose
    assert dose == DoseAsked(
        of="CM-120", from_parts=400, to_parts=2000, steps=5, years=3.0, reads_low=6.0, reads_high=8.0,
        cask_cost=115.0, analysis_cost=180.0, sitting_cost=400.0,
    )  # fmt: skip
    assert enquiry().dose is None


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("to_pct = 20\n", "", "dose.to_pct: is missing."),
        ("steps = 5", "steps = 50", "dose.steps: 50 doses is outside 1-8 doses."),
        ("years = 3", "years = 0", "dose.years: 0 years is outside"),
        ('of = "CM-120"', 'lot = "CM-120"', "dose.lot: is not a field we know."),
        ("reads_low = 6", 'reads_low = "old"', "dose.reads_low: 'old' is not a number."),
    ],
)
def test_faults_are_told_with_their_place(tmp_path: Path, old: str, new: str, said: str) -> None:
    path = copied(tmp_path) / "dose.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    sentences = " ".join(problem.sentence() for problem in read_enquiry(path).problems)
    assert said.replace("dose.", "") in sentences.replace("dose, ", ""), sentences


def test_it_is_written_out_and_reads_back(tmp_path: Path) -> None:
    asked = enquiry("dose.toml")
    for name, content in enquiry_files(asked, lots()).items():
        (tmp_path / name).write_bytes(content)
    assert read_enquiry(tmp_path / "enquiry.toml").accepted().dose == asked.dose


def test_the_example_stands_beside_the_others() -> None:
    assert (FOLDER / "dose.toml").is_file()
