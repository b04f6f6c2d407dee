"""Bad casks are refused or left out with row, value and way out; the rest is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from gristwright.basics import Refused
from gristwright.casework.claim.claim import claim
from gristwright.casework.claim.lines import age_words
from gristwright.casework.claim.tables import unit_factor
from gristwright.files.ladder_in import read_casks
from gristwright.numerics.quadratic import Form
from gristwright.records.ageing import AgeClaim, CaskTable, ClaimStanding, Sample
from programme import CLAIM, FOLDER, answered, arms, ladder, of_arm, with_facts


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


def constant(table: CaskTable, **value: float) -> CaskTable:
    """The table with the same value of a marker in every sample; all markers when none is named."""
    names = {name.replace("_", " "): number for name, number in value.items()}

    def still(sample: Sample) -> Sample:
        return replace(sample, values={k: names.get(k, v) if names else 5.0 for k, v in sample.values.items()})

    return replace(table, samples=tuple(map(still, table.samples)))


def test_markers_that_are_the_same_everywhere_are_named_and_the_panel_is_kept() -> None:
    found = of_arm(claim(constant(ladder()), constant(arms()), [CLAIM]), "B")
    assert found.statement == "panel_only"
    assert "no chemistry could be read (no marker" in found.sentence
    assert all(line.words == "not read" and not line.used for line in found.lines if line.role == "marker")


def test_a_marker_without_any_scatter_gives_no_interval() -> None:
    """Values that lie on a line to the last digit were not measured."""
    on_line = tuple(replace(s, values={**s.values, "vanillin": 0.2 + 0.1 * s.years}) for s in ladder().samples)
    found = of_arm(claim(replace(ladder(), samples=on_line), constant(arms(), vanillin=0.5)), "B")
    line = next(line for line in found.lines if line.key == "vanillin")
    assert not line.used and "were the values copied?" in line.note


def test_one_marker_under_two_names_counts_once() -> None:
    def twice(table: CaskTable) -> CaskTable:
        kept = tuple(
            replace(s, values={k: s.values["ethyl acetate"] * f for k, f in (("ethyl acetate", 1.0), ("acids", 0.7))})
            for s in table.samples
        )
        units = {"ethyl acetate": "mg/L", "acids": "mg/L"}
        return replace(table, samples=kept, units=units, scores=(), scales={})

    found = of_arm(claim(twice(ladder()), twice(arms()), [CLAIM]), "B")
    assert found.statement == "one_marker"
    assert "move as one" in found.sentence


def test_scores_that_are_the_same_everywhere_are_no_scale() -> None:
    def flat(table: CaskTable) -> CaskTable:
        return replace(table, scores=tuple(replace(s, values=dict.fromkeys(s.values, 5.0)) for s in table.scores))

    full = claim(flat(ladder()), flat(arms()), [CLAIM])
    gaps = claim(flat(ladder()), replace(flat(arms()), scores=flat(arms()).scores[3:]), [CLAIM])
    for found in (full, gaps):
        answer = of_arm(found, "B")
        assert answer.line("panel") is None and answer.malt == ()
        assert answer.statement == "chem_alone"


def test_an_arm_never_scored_beside_the_references_is_not_read_by_the_panel() -> None:
    def sitting(table: CaskTable, name: str) -> CaskTable:
        return replace(table, scores=tuple(replace(s, sitting=name) for s in table.scores))

    apart = of_arm(claim(sitting(ladder(), "1"), sitting(arms(), "2"), [CLAIM]), "B")
    beside = of_arm(claim(sitting(ladder(), "1"), sitting(arms(), "1"), [CLAIM]), "B")
    assert apart.line("panel") is None and beside.line("panel") is not None


def own(table: CaskTable) -> CaskTable:
    """Ethyl acetate under a name that the reference does not know."""
    samples = tuple(replace(s, values={"ethyl lactate": s.values["ethyl acetate"], **s.values}) for s in table.samples)
    return replace(table, samples=samples, units={**table.units, "ethyl lactate": "g/hL pa"})


def test_a_marker_nobody_knows_is_shown_and_counts_only_when_named() -> None:
    silent = claim(own(ladder()), own(arms()), [CLAIM])
    line = next(line for line in of_arm(silent, "B").lines if line.key == "ethyl lactate")
    assert not line.used and "Not in the reference" in line.note
    assert any("shown, not read for age. Name it under --count" in warning for warning in silent.warnings)
    named = claim(own(ladder()), own(arms()), [CLAIM], count=["Ethyl Lactate"])
    assert next(line for line in of_arm(named, "B").lines if line.key == "ethyl lactate").note.endswith("your word.")
    wrong = claim(ladder(), arms(), [CLAIM], count=["colour"])
    assert any("'colour' is no marker of your own" in warning for warning in wrong.warnings)


def test_the_second_claim_of_an_age_is_named() -> None:
    found = claim(ladder(), arms(), [CLAIM, AgeClaim(3.0, 4.0, 5.0)])
    assert any("claims, 3:4-5: is the second of 3 years" in warning for warning in found.warnings)


def test_references_that_no_arm_is_like_are_named() -> None:
    other = tuple(
        replace(s, facts=replace(s.facts, fill="1")) if s.cask.startswith("R8") else s for s in ladder().samples
    )
    table = replace(ladder(), samples=other, scores=tuple(s for s in ladder().scores if not s.cask.startswith("R8")))
    found = claim(table, arms(), [CLAIM])
    assert any("R8-1, R8-2, R8-3: differs in fill. Not comparable" in warning for warning in found.warnings)
    assert of_arm(found, "B").ladder_casks == 9


def test_fewer_casks_behind_the_markers_are_told() -> None:
    some = tuple(s for s in arms().samples if s.cask not in ("B1", "B2"))
    found = of_arm(claim(ladder(), replace(arms(), samples=some), [CLAIM]), "B")
    assert "6 casks, markers of 4, same wood" in found.sentence


def test_malt_notes_of_an_arm_younger_than_the_ladder_are_read_at_its_youngest_rung() -> None:
    def younger(table: CaskTable) -> CaskTable:
        return replace(
            table,
            samples=tuple(replace(s, years=2.0) for s in table.samples),
            scores=tuple(replace(s, years=2.0) for s in table.scores),
        )

    answer = of_arm(claim(ladder(), younger(arms())), "A")
    assert answer.statement == "sweeter"
    assert "reference casks of 3.0 years" in answer.malt[0].words


@pytest.mark.parametrize(
    ("head", "row", "said"),
    [
        ("cask,age_years,sweetness [points]", "X,3,5", "is a word of a panel and has no scale"),
        ("cask,age_years,assessor,maturity [10-0]", "X,3,P,5", "goes from 10 to 0. Write the low end first"),
        ("cask,age_years,vanillin [mg/L]", "", "Give a row a sample or score"),
    ],
)
def test_more_faults_of_a_file_are_named(tmp_path: Path, head: str, row: str, said: str) -> None:
    path = tmp_path / "casks.csv"
    path.write_text(f"{head}\n{row}\n", encoding="utf-8")
    assert any(said in problem.sentence() for problem in read_casks(path).problems)


def test_an_empty_file_says_casks(tmp_path: Path) -> None:
    (tmp_path / "casks.csv").write_text("", encoding="utf-8")
    assert "it holds no cask" in read_casks(tmp_path / "casks.csv").problems[0].sentence()


@pytest.mark.parametrize(
    ("estimate", "form", "ends", "said"),
    [
        (2.0, Form.OUTSIDE, (-90.0, 25.0), "every age of the ladder is excluded"),
        (2.0, Form.OUTSIDE, (-90.0, 6.0), "only ages up to 6.0 years are excluded"),
        (2.0, Form.OUTSIDE, (5.0, 25.0), "only ages from 5.0 years on are excluded"),
        (2.0, Form.OUTSIDE, (-9.0, 1.0), "no age of the ladder is excluded"),
        (1.0, Form.INTERVAL, (0.0, 4.0), "no more than the youngest reference, 3.5 years"),
        (4.0, Form.INTERVAL, (3.0, 5.0), "4.0 years (95 % interval 3.5 or less to 5.0)"),
        (4.0, Form.ALL, (None, None), "no age at all is excluded"),
        (4.0, Form.EMPTY, (None, None), "no age of the ladder fits"),
    ],
)
def test_every_form_of_an_interval_is_said_within_the_ladder(
    estimate: float, form: Form, ends: tuple[float | None, float | None], said: str
) -> None:
    assert said in age_words(estimate, form, ends, (3.5, 12.0))


def test_a_wood_that_is_only_spelled_otherwise_is_shown_in_both_spellings() -> None:
    found = claim(ladder(), with_facts(arms(), wood="american oak, from bourbon"))
    said = (
        "wood is 'american oak, ex bourbon' there and 'american oak, from bourbon' in the arms. If both are one thing"
    )
    assert any(said in warning for warning in found.warnings)


def test_a_hyphen_or_a_capital_makes_no_other_wood() -> None:
    found = claim(ladder(), with_facts(arms(), wood="American Oak, ex-bourbon"))
    assert all(answer.statement != "not_alike" for answer in found.answers)
