"""One allowed statement for every arm, and no support where the evidence does not carry it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.casework.claim.claim import claim
from gristwright.casework.claim.words import facts
from gristwright.records.age_evidence import Chemistry, Evidence, Panel
from gristwright.records.ageing import AgeClaim, CaskTable, ClaimStanding, Sample, Score
from gristwright.reference import csv_rows
from programme import CLAIM, answered, arms, ladder, of_arm, with_facts


def test_the_three_answers_of_the_programme() -> None:
    a, b = of_arm(answered(), "A"), of_arm(answered(), "B")
    new = of_arm(answered("other-wood.csv"), "A-new")
    assert (a.statement, a.verdict) == ("sweeter", ClaimStanding.REFUTED)
    assert (b.statement, b.verdict) == ("reads_older", ClaimStanding.SUPPORTED)
    assert (new.statement, new.verdict) == ("not_alike", ClaimStanding.UNANSWERABLE)
    assert a.sentence.startswith("Higher sweetness, no evidence of greater maturity")
    assert "6 casks, same wood; chemistry agreed" in b.sentence
    assert "fill, wood" in new.sentence
    assert new.lines == ()


@pytest.mark.parametrize("arm", ["A", "B"])
def test_both_models_say_the_same_of_the_programme(arm: str) -> None:
    line, bent = of_arm(answered(), arm), of_arm(answered(model="monotone"), arm)
    assert (line.statement, line.verdict) == (bent.statement, bent.verdict)


def test_only_a_stated_age_counts_as_gain() -> None:
    assert of_arm(answered(), "A").gained_years is None
    gained = of_arm(answered(), "B").gained_years
    assert gained is not None
    assert 0.0 < gained.low < gained.middle < gained.high


def test_colour_is_shown_and_not_counted() -> None:
    line = next(line for line in of_arm(answered(), "B").lines if line.key == "colour")
    assert not line.used
    assert "colour" not in next(x.title for x in of_arm(answered(), "B").lines if x.role == "all markers")


def test_more_samples_and_rows_of_a_cask_narrow_nothing() -> None:
    table = arms()
    often = replace(table, samples=table.samples * 5, scores=table.scores * 5)
    before, after = of_arm(answered(), "B"), of_arm(claim(ladder(), often, [CLAIM]), "B")
    assert [x.low for x in after.lines] == pytest.approx([x.low for x in before.lines])
    assert [x.high for x in after.lines] == pytest.approx([x.high for x in before.lines])


def shuffled(table: CaskTable, seed: int) -> CaskTable:
    """The casks of both arms with their labels given out anew."""
    casks = sorted({(item.cask, item.arm) for item in (*table.samples, *table.scores)})
    labels = np.random.default_rng(seed).permutation([arm for _, arm in casks])
    new = {cask: str(label) for (cask, _), label in zip(casks, labels, strict=True)}

    def relabelled(item: Sample | Score) -> Sample | Score:
        return replace(item, arm=new[item.cask])

    return replace(table, samples=tuple(map(relabelled, table.samples)), scores=tuple(map(relabelled, table.scores)))  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_shuffling_the_labels_of_the_arms_destroys_support(seed: int) -> None:
    found = claim(ladder(), shuffled(arms(), seed), [CLAIM])
    assert all(answer.verdict is not ClaimStanding.SUPPORTED for answer in found.answers)


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({"wood": "european oak"}, "wood"),
        ({"fill": "1"}, "fill"),
        ({"entry_abv_pct": 60.0}, "entry strength"),
        ({"store": "racked 4"}, "store"),
        ({"wood": ""}, "is not given"),
    ],
)
def test_arms_that_are_not_alike_get_no_age(changed: dict[str, object], named: str) -> None:
    for answer in claim(ladder(), with_facts(arms(), **changed), [CLAIM]).answers:
        assert answer.statement == "not_alike"
        assert named in answer.sentence
        assert answer.lines == ()


def test_a_smaller_cask_gets_no_age_where_both_sizes_are_known() -> None:
    found = claim(with_facts(ladder(), capacity_L=200.0), with_facts(arms(), capacity_L=50.0))
    assert {answer.statement for answer in found.answers} == {"not_alike"}
    assert "cask size" in found.answers[0].sentence


def scores_only(table: CaskTable) -> CaskTable:
    return replace(table, samples=())


def samples_only(table: CaskTable) -> CaskTable:
    return replace(table, scores=(), scales={})


def test_a_panel_alone_shows_no_maturation() -> None:
    found = claim(scores_only(ladder()), scores_only(arms()), [CLAIM])
    assert of_arm(found, "A").statement == "panel_sweeter"
    assert of_arm(found, "B").statement == "panel_only"
    assert all(answer.verdict is not ClaimStanding.SUPPORTED for answer in found.answers)


def test_markers_alone_show_no_maturity() -> None:
    found = claim(samples_only(ladder()), samples_only(arms()), [CLAIM])
    assert of_arm(found, "B").statement == "chem_alone"
    assert of_arm(found, "B").verdict is ClaimStanding.OPEN
    assert of_arm(found, "A").verdict is ClaimStanding.REFUTED


def kept(table: CaskTable, *markers: str) -> CaskTable:
    samples = tuple(replace(s, values={k: v for k, v in s.values.items() if k in markers}) for s in table.samples)
    return samples_only(replace(table, samples=samples, units={k: v for k, v in table.units.items() if k in markers}))


@pytest.mark.parametrize(
    ("markers", "statement"),
    [
        (("ethyl acetate",), "one_marker"),
        (("vanillin", "syringaldehyde"), "nothing_measured"),
        (("colour",), "nothing_measured"),
        (("ethyl acetate", "vanillin"), "chem_alone"),
    ],
)
def test_no_age_from_one_marker_from_wood_alone_or_from_colour(markers: tuple[str, ...], statement: str) -> None:
    assert of_arm(claim(kept(ladder(), *markers), kept(arms(), *markers)), "B").statement == statement


def lifted(table: CaskTable, **factor: float) -> CaskTable:
    names = {name.replace("_", " "): value for name, value in factor.items()}
    samples = tuple(replace(s, values={k: v * names.get(k, 1.0) for k, v in s.values.items()}) for s in table.samples)
    return replace(table, samples=samples)


def test_markers_that_disagree_give_no_single_age() -> None:
    found = claim(ladder(), lifted(arms(), vanillin=2.2, syringaldehyde=2.2), [CLAIM])
    answer = of_arm(found, "A")
    assert answer.statement == "no_single_age"
    assert "markers of arm A at 3 years disagree" in answer.sentence
    assert answer.verdict is ClaimStanding.UNANSWERABLE


def test_missing_scores_are_carried_by_the_likelihood() -> None:
    table = arms()
    thinned = replace(table, scores=tuple(s for k, s in enumerate(table.scores) if k % 7))
    found = of_arm(claim(ladder(), thinned, [CLAIM]), "B")
    full = of_arm(answered(), "B").line("panel")
    line = found.line("panel")
    assert line is not None and full is not None
    assert line.estimate == pytest.approx(full.estimate, abs=0.4)


def test_every_condition_of_a_statement_is_a_fact_and_the_last_has_none() -> None:
    none = Evidence("A", 3.0, (), (), 12.0, (), "", Chemistry((), None, None, 0, False, ()), Panel(None, None, (), ""))
    rows = csv_rows("tables/ageing_statements.csv")
    named = {name.removeprefix("!") for row in rows for name in row["when"].split()}
    assert named <= set(facts(none))
    assert rows[-1]["when"] == ""


def test_a_claim_beyond_the_ladder_is_not_supported() -> None:
    found = claim(ladder(), arms(), [AgeClaim(3.0, 14.0, 16.0)])
    assert all(answer.verdict is ClaimStanding.REFUTED for answer in found.answers)
    assert any("outside the ladder" in warning for warning in found.warnings)


def test_one_kind_of_oak_by_two_names_is_alike_and_two_kinds_are_not() -> None:
    old = with_facts(ladder(), wood="American white oak")
    for answer in claim(old, with_facts(arms(), wood="quercus alba"), [CLAIM]).answers:
        assert answer.statement != "not_alike"
    found = claim(old, with_facts(arms(), wood="stieleiche"), [CLAIM])
    assert {answer.statement for answer in found.answers} == {"not_alike"}
    assert any("write them alike" in warning for warning in found.warnings)
