"""Wood by any of its names: every category that asks for wood reads them alike, and no word it misses is a fail."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gristwright.basics import Verdict
from gristwright.records.law import CategoryAnswer, WhiskyFacts
from gristwright.reference import woods
from gristwright.reference.load import csv_rows
from gristwright.rules.law import judge
from gristwright.rules.law.book import standard_book
from gristwright.rules.law.wood import wood_fits
from rules.law_sample import ON, bourbon, facts, stay, verdict

BOOK = standard_book()
ASKING = {
    key: tuple(rule for rule in category.rules if {"woods", "woods_not"} & set(rule.data.get("casks", {})))
    for key, category in BOOK.categories.items()
}
CATEGORIES = sorted(key for key, rules in ASKING.items() if rules)
OAKS = [
    "mizunara",
    "American oak",
    "Quercus alba",
    "Oak",
    "OAK",
    "european_oak",
    "White-Oak",
    "Eiche",
    "Amerikanische Eiche",
]
NO_WOODS = ["Steel", "stainless steel", "Edelstahl", "Plastic", "GLASS", "Earthenware", "concrete"]
NONE = set(BOOK.words.lists["not_wood"])
CASES = (facts(stays=(stay(60),)), bourbon(stays=(stay(60, new=True),)))


def in_wood(case: WhiskyFacts, wood: str) -> WhiskyFacts:
    return replace(case, stays=tuple(replace(one, wood=wood) for one in case.stays or ()))


def of_wood(answer: CategoryAnswer) -> dict[str, Verdict]:
    """Verdicts of the rules that ask for wood."""
    asked = {rule.id for rule in ASKING[answer.category]}
    return {rule.rule_id: rule.verdict for rule in answer.answers if rule.rule_id in asked}


def test_every_category_but_none_asks_for_wood() -> None:
    assert len(CATEGORIES) >= 20


@pytest.mark.parametrize("wood", OAKS)
@pytest.mark.parametrize("key", CATEGORIES)
def test_oak_by_any_name_is_judged_as_oak(key: str, wood: str) -> None:
    for case in CASES:
        plain, named = (judge(key, in_wood(case, name), ON) for name in ("oak", wood))
        assert of_wood(named) == of_wood(plain)
        assert named.verdict is plain.verdict


@pytest.mark.parametrize("wood", NO_WOODS)
@pytest.mark.parametrize("key", CATEGORIES)
def test_what_is_no_wood_by_any_name_is_judged_as_steel(key: str, wood: str) -> None:
    for case in CASES:
        assert of_wood(judge(key, in_wood(case, wood), ON)) == of_wood(judge(key, in_wood(case, "steel"), ON))


@pytest.mark.parametrize("key", CATEGORIES)
def test_a_word_that_is_no_known_wood_neither_passes_nor_fails(key: str) -> None:
    for case in CASES:
        whole, answer = judge(key, case, ON), judge(key, in_wood(case, "mizunaro"), ON)
        for rule, found in of_wood(answer).items():
            before = of_wood(whole)[rule]
            assert found is (Verdict.UNKNOWN if before is Verdict.PASS else before)
        asked = {rule.id for rule in ASKING[key]}
        unknown = [rule for rule in answer.answers if rule.verdict is Verdict.UNKNOWN and rule.rule_id in asked]
        assert all('plant.toml: [cask.kind] wood = "oak"' in rule.told for rule in unknown)
        said = [rule.reason for rule in unknown]
        for reason in said:
            assert '"mizunaro"' in reason
            assert "mizunara" in reason
            assert "oak" in reason


@pytest.mark.parametrize("key", CATEGORIES)
def test_an_unknown_wood_leaves_a_category_that_would_pass_unknown(key: str) -> None:
    for case in CASES:
        if judge(key, case, ON).verdict is Verdict.PASS:
            assert judge(key, in_wood(case, "wuud"), ON).verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(("key", "case"), [("US_BOURBON", CASES[1]), ("GB_SCOTCH", CASES[0])])
@pytest.mark.parametrize("wood", ["Kastanie", "chestnut", "Acacia"])
def test_another_wood_is_still_no_oak(key: str, case: WhiskyFacts, wood: str) -> None:
    assert verdict(key, in_wood(case, wood)) is Verdict.FAIL


@pytest.mark.parametrize(("key", "named"), [("GB_SCOTCH", {"oak"}), ("EU_WHISKY", set(woods.accepted()) - NONE)])
def test_what_a_rule_accepts_is_named_beside_a_word_that_is_near_none(key: str, named: set[str]) -> None:
    reasons = [rule.reason for rule in judge(key, in_wood(CASES[0], "wuud"), ON).answers if '"wuud"' in rule.reason]
    assert reasons
    said = reasons[0].split("accepted is ")[1].split(", by any name")[0]
    assert set(said.split(", ")) == named


def test_every_word_of_the_table_is_a_wood_or_no_wood_the_rules_know() -> None:
    words = {row["wood"] for row in csv_rows("tables/cask_woods.csv")}
    assert set(BOOK.words.lists["not_wood"]) <= words
    assert "oak" in words
    for row in csv_rows("tables/cask_woods.csv"):
        assert woods.wood_of(row["word"].upper()) == row["wood"]


def test_a_wood_that_only_the_rule_itself_names_is_known_to_it() -> None:
    words = BOOK.words
    assert wood_fits("teak", ["teak"], words, False) == (True, True)
    assert wood_fits("teak", ["oak"], words, False) == (False, True)
    assert wood_fits("Eiche", ["Oak"], words, False) == (True, True)
