"""Bad casks are refused or left out with row, value and way out; the rest is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from gristwright.basics import Refused
from gristwright.casework.claim import claim
from gristwright.casework.claim_tables import unit_factor
from gristwright.files.ladder_in import read_casks
from gristwright.records.ageing import CaskTable, ClaimStanding
from programme import CLAIM, FOLDER, answered, arms, ladder, of_arm


def edited(tmp_path: Path, name: str, change: Callable[[list[str]], list[str]]) -> Path:
    path = tmp_path / name
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(change(lines)) + "\n", encoding="utf-8")
    return path


def only(table: CaskTable, *ages: float) -> CaskTable:
    samples = tuple(s for s in table.samples if s.years in ages)
    return replace(table, samples=samples, scores=tuple(s for s in table.scores if s.years in ages))


def test_one_age_is_no_ladder() -> None:
    with pytest.raises(Refused, match=r"ladder.csv: all its casks are 6 years old, and one age is no ladder\. Add"):
        claim(only(ladder(), 6.0), arms())


def test_two_ages_are_answered_and_say_why_not() -> None:
    answer = of_arm(claim(only(ladder(), 3.0, 12.0), arms(), [CLAIM]), "B")
    assert answer.statement == "no_ladder"
    assert "of 3, 12 years are no ladder" in answer.sentence


def test_arms_older_than_the_ladder_are_not_read() -> None:
    table = arms()
    older = replace(
        table,
        samples=tuple(replace(s, years=14.0) for s in table.samples),
        scores=tuple(replace(s, years=14.0) for s in table.scores),
    )
    answer = of_arm(claim(ladder(), older), "B")
    assert answer.statement == "out_of_ladder"
    assert "14 years old and the ladder ends at 12" in answer.sentence


def test_flat_markers_exclude_nothing() -> None:
    fixed = {s.cask: k for k, s in enumerate((*ladder().samples, *arms().samples))}

    def steady(table: CaskTable) -> CaskTable:
        samples = tuple(
            replace(s, values={k: 10.0 + (fixed[s.cask] * 37 + len(k) * 11) % 29 / 29.0 for k in s.values})
            for s in table.samples
        )
        return replace(table, samples=samples, scores=(), scales={})

    answer = of_arm(claim(steady(ladder()), steady(arms()), [CLAIM]), "B")
    assert answer.statement == "nothing_measured"
    assert "no marker" in answer.sentence
    assert answer.verdict is ClaimStanding.UNANSWERABLE


def test_a_row_without_a_cask_is_left_out_and_named(tmp_path: Path) -> None:
    def change(lines: list[str]) -> list[str]:
        lines[3] = lines[3].replace("A,A1,", "A,,", 1)
        return lines

    found = read_casks(edited(tmp_path, "arms.csv", change), arms=True)
    assert [p.sentence() for p in found.problems] == [
        "arms.csv, row 4, column 2: the cask is not named. Name it; the row is left out."
    ]
    assert len(found.accepted().samples) == len(arms().samples) - 1


def test_a_score_off_the_scale_is_left_out_and_named(tmp_path: Path) -> None:
    def change(lines: list[str]) -> list[str]:
        cells = lines[4].split(",")
        lines[4] = ",".join([*cells[:-3], "11.5", *cells[-2:]])
        return lines

    found = read_casks(edited(tmp_path, "arms.csv", change), arms=True)
    assert "maturity 11.5 lies off the scale 0 to 10" in found.problems[0].sentence()
    assert found.problems[0].warning
    assert of_arm(claim(ladder(), found.accepted()), "B").statement == "reads_older"


def test_units_that_turn_into_each_other_are_turned() -> None:
    table = arms()
    name = "ethyl acetate"
    samples = tuple(
        replace(s, values={k: v * (10.0 if k == name else 1.0) for k, v in s.values.items()}) for s in table.samples
    )
    in_mg = replace(table, samples=samples, units={**table.units, name: "mg/L pa"})
    before, after = of_arm(answered(), "B"), of_arm(claim(ladder(), in_mg, [CLAIM]), "B")
    assert [x.estimate for x in after.lines] == pytest.approx([x.estimate for x in before.lines])


def test_units_of_spirit_and_of_alcohol_are_not_mixed() -> None:
    table = arms()
    mixed = replace(table, units={**table.units, "ethyl acetate": "mg/L"})
    found = claim(ladder(), mixed, [CLAIM])
    assert any("ethyl acetate is in mg/L here and in g/hL pa in ladder.csv" in warning for warning in found.warnings)
    assert "ethyl_acetate" not in [line.key for line in found.answers[0].lines]
    assert of_arm(found, "B").statement == "reads_older"


@pytest.mark.parametrize(
    ("unit", "other", "factor"),
    [("g/hL", "mg/L", 10.0), ("ug/L", "mg/L", 0.001), ("mg/L", "mg/L pa", None), ("ppm", "mg/L", None)],
)
def test_factors_between_units(unit: str, other: str, factor: float | None) -> None:
    assert unit_factor(unit, other) == factor


def test_scales_that_differ_are_not_used() -> None:
    table = arms()
    other = replace(table, scales={**table.scales, "maturity": (0.0, 100.0)})
    found = claim(ladder(), other)
    assert any("maturity goes from 0 to 100 here" in warning for warning in found.warnings)
    assert found.answers[0].line("panel") is None


def test_a_reference_cask_met_at_several_ages_counts_once() -> None:
    table = ladder()
    samples = tuple(replace(s, cask=f"R{int(s.cask.split('-')[1])}") for s in table.samples)
    again = replace(table, samples=samples, scores=(), scales={})
    found = claim(again, replace(arms(), scores=(), scales={}))
    assert any("Each cask counts once" in warning for warning in found.warnings)
    assert found.answers[0].ladder_casks == 3


def test_a_cask_cannot_vouch_for_itself() -> None:
    table = ladder()
    also = replace(table, samples=tuple(replace(s, cask="A1") if s.cask == "R3-1" else s for s in table.samples))
    found = claim(also, arms())
    assert any("cannot vouch for itself" in warning for warning in found.warnings)


@pytest.mark.parametrize(
    ("head", "row", "said"),
    [
        ("cask,age_years,vanillin", "X,3,1", "'vanillin' has neither a unit nor a scale"),
        ("cask,vanillin [mg/L]", "X,1", "has no column age_years"),
        ("cask,age_years,vanillin [mg/L]", "X,,1", "the age is missing"),
        ("cask,age_years,vanillin [mg/L]", "X,three,1", "'three'"),
        ("cask,age_years,vanillin [mg/L]", "X,300,1", "300 years is no age of a cask"),
        ("cask,age_years,vanillin [mg/L]", "X,3,-1", "vanillin -1 is below nothing"),
        ("cask,age_years,maturity [0-10]", "X,3,5", "has scores and no assessor"),
        ("cask,age_years,age,vanillin [mg/L]", "X,3,4,1", "heads two columns"),
    ],
)
def test_faults_of_a_file_are_named(tmp_path: Path, head: str, row: str, said: str) -> None:
    path = tmp_path / "casks.csv"
    path.write_text(f"{head}\n{row}\n", encoding="utf-8")
    assert any(said in problem.sentence() for problem in read_casks(path).problems)


def test_months_are_read_as_years(tmp_path: Path) -> None:
    path = tmp_path / "casks.csv"
    path.write_text("cask,age [months],vanillin [mg/L]\nX,36,1\n", encoding="utf-8")
    assert read_casks(path).accepted().samples[0].years == 3.0


def test_a_cask_that_changes_its_wood_loses_the_row(tmp_path: Path) -> None:
    path = tmp_path / "casks.csv"
    path.write_text("cask,age_years,wood,vanillin [mg/L]\nX,3,oak,1\nX,4,chestnut,2\n", encoding="utf-8")
    found = read_casks(path)
    assert "cask X has wood 'chestnut' here and 'oak' in its first row" in found.problems[0].sentence()
    assert len(found.accepted().samples) == 1
