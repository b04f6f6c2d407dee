"""What is not known never passes; a share may depend on its basis; warnings say what was not asked."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from gristwright.basics import Refused, Verdict
from gristwright.records.law import CaskStay, GristPart, WhiskyFacts
from gristwright.rules.law import judge, judge_all
from gristwright.rules.law.finding import gravest
from rules.law_sample import FILLED, ON, bourbon, facts, part, stay, verdict

UNKNOWABLE = [field.name for field in dataclasses.fields(WhiskyFacts) if field.name not in ("grist", "places")]


def test_nothing_but_the_grist_known_passes_no_category() -> None:
    verdicts = {answer.verdict for answer in judge_all(WhiskyFacts((part(),)), ON)}
    assert Verdict.PASS not in verdicts
    assert Verdict.UNKNOWN in verdicts


@pytest.mark.parametrize("name", UNKNOWABLE)
def test_taking_away_one_fact_never_makes_a_category_pass_and_stops_those_that_ask_it(name: str) -> None:
    for case in (facts(), bourbon(stays=(stay(48, new=True),), bottle_abv_pct=50.0)):
        whole = {a.category: a.verdict for a in judge_all(case, ON)}
        less = {a.category: a for a in judge_all(dataclasses.replace(case, **{name: None}), ON)}
        for key, answer in less.items():
            asked = any(rule.verdict is Verdict.UNKNOWN for rule in answer.answers)
            if whole[key] is Verdict.PASS:
                assert answer.verdict is (Verdict.UNKNOWN if asked else Verdict.PASS)
            else:
                assert answer.verdict in (Verdict.FAIL, Verdict.UNKNOWN)


@pytest.mark.parametrize("name", ["wood", "capacity_L", "date_in", "date_out"])
def test_a_cask_not_fully_known_never_passes_scotch(name: str) -> None:
    cask = dataclasses.replace(stay(), **{name: None})
    assert verdict("GB_SCOTCH", facts(stays=(cask,))) is Verdict.UNKNOWN


def test_char_and_newness_not_known_leave_bourbon_unknown() -> None:
    for cask in (stay(30, new=True, charred=None), stay(30, new=None)):
        assert verdict("US_STRAIGHT_BOURBON", bourbon(stays=(cask,))) is Verdict.UNKNOWN


def test_a_cask_too_young_whatever_is_unknown_fails() -> None:
    assert verdict("EU_WHISKY", facts(stays=(stay(30, capacity_L=None),)), "EU-5") is Verdict.FAIL


@pytest.mark.parametrize(
    ("key", "grist", "rule_id"),
    [
        ("EU_WHISKY", (part(pct=30), part("maize", False, form="unknown", pct=70)), "EU-1c"),
        ("EU_SINGLE_MALT", (part(pct=90), part(malted=None, pct=10)), "EU-9a"),
        ("EU_SINGLE_MALT", (part(pct=90), part("unknown", pct=10)), "EU-9a"),
        ("US_BOURBON", (part("maize", False, pct=45), part("unknown", False, pct=55)), "US-BO-51"),
    ],
)
def test_a_trait_that_is_not_known_leaves_a_share_unknown(key: str, grist: tuple[GristPart, ...], rule_id: str) -> None:
    assert verdict(key, facts(grist=grist), rule_id) is Verdict.UNKNOWN


def test_what_the_text_leaves_open_is_unknown_and_not_a_pass() -> None:
    assert verdict("EU_WHISKY", facts(enzymes="koji"), "EU-2") is Verdict.UNKNOWN
    assert verdict("EU_WHISKY", facts(additions=("water", "other whisky")), "EU-6") is Verdict.UNKNOWN
    assert verdict("EU_WHISKY", facts(additions=("other whisky", "sugar")), "EU-6") is Verdict.FAIL


def test_fail_beats_unknown_beats_depends_beats_pass() -> None:
    order = [Verdict.FAIL, Verdict.UNKNOWN, Verdict.DEPENDS, Verdict.PASS]
    for i, verdict_ in enumerate(order):
        assert gravest(order[i:][::-1]) is verdict_
    assert gravest([]) is Verdict.UNKNOWN
    assert verdict("EU_WHISKY", facts(bottle_abv_pct=39.0, enzymes=None)) is Verdict.FAIL


def corn_bill(as_is: tuple[int, int], dry: tuple[int, int]) -> WhiskyFacts:
    """Raw corn and malted barley with shares on both bases [0.01 %]."""
    grist = (
        GristPart("corn", False, "whole", "none", as_is[0], dry[0]),
        GristPart("barley", True, "whole", "none", as_is[1], dry[1]),
    )
    return bourbon(grist=grist)


@pytest.mark.parametrize(
    ("as_is", "dry", "expected"),
    [
        (5150, 4911, Verdict.DEPENDS),
        (5100, 5100, Verdict.PASS),
        (5500, 5200, Verdict.PASS),
        (5000, 4800, Verdict.FAIL),
        (5000, 5120, Verdict.DEPENDS),
    ],
)
def test_a_share_on_two_sides_of_a_limit_depends_on_the_basis(as_is: int, dry: int, expected: Verdict) -> None:
    answer = judge("US_BOURBON", corn_bill((as_is, 10000 - as_is), (dry, 10000 - dry)), ON)
    assert answer.verdict is expected
    reason = next(a.reason for a in answer.answers if a.rule_id == "US-BO-51")
    bases = " and dry" if as_is == dry else f" and {dry / 100:.2f} % of the dry grist"
    assert reason == f"maize {as_is / 100:.2f} % of the grist as weighed{bases}, at least 51 % asked."


def test_without_dry_shares_a_warning_says_that_moisture_could_move_the_share() -> None:
    near, far = judge("US_BOURBON", bourbon(52), ON), judge("US_BOURBON", bourbon(70), ON)
    assert near.verdict is Verdict.PASS
    assert any("US-BO-51" in warning and "dry basis" in warning for warning in near.warnings)
    assert not any("dry basis" in warning for warning in far.warnings)


def test_a_share_of_all_or_nothing_needs_no_moisture() -> None:
    assert not any("dry basis" in warning for warning in judge("GB_SCOTCH_SINGLE_MALT", facts(), ON).warnings)


def test_a_reading_older_than_twelve_months_is_warned_of() -> None:
    last_day = dt.date(2027, 11, 25)
    assert not any("were read on" in w for w in judge("EU_WHISKY", facts(), last_day).warnings)
    assert any("were read on 2026-11-25" in w for w in judge("EU_WHISKY", facts(), dt.date(2027, 11, 26)).warnings)


def test_a_text_newer_than_the_day_judged_is_warned_of() -> None:
    assert any("later than the day judged" in w for w in judge("US_BOURBON", bourbon(), dt.date(2020, 1, 1)).warnings)


def test_an_age_still_to_come_is_judged_as_planned_and_said_so() -> None:
    cask = CaskStay("oak", 200, True, False, FILLED, dt.date(2030, 1, 1))
    answer = judge("EU_WHISKY", facts(stays=(cask,)), ON)
    assert answer.verdict is Verdict.PASS
    assert any("as planned" in warning for warning in answer.warnings)


def test_rules_no_data_can_answer_are_named() -> None:
    assert any(w.startswith("SC-11, not judged here") for w in judge("GB_SCOTCH", facts(), ON).warnings)


def test_a_reading_of_ours_is_flagged_only_where_it_bears() -> None:
    caramel = (part(pct=92), part(process="caramel", pct=8))
    flagged = {a.rule_id: a.flag for a in judge("EU_SINGLE_MALT", facts(grist=caramel), ON).answers}
    plain = {a.rule_id: a.flag for a in judge("EU_SINGLE_MALT", facts(), ON).answers}
    assert "our reading" in flagged["EU-9a"]
    assert plain["EU-9a"] == ""


def test_a_key_that_is_not_in_the_book_is_refused_with_those_near_it() -> None:
    with pytest.raises(Refused) as refused:
        judge("GB_SCOTH", facts(), ON)
    assert '"GB_SCOTH" is not in the rule book. Did you mean GB_SCOTCH' in str(refused.value)


def test_all_impossible_facts_are_named_at_once() -> None:
    case = facts(
        grist=(part(pct=60), part("barely", pct=30, form="flour of hole")),
        bottle_abv_pct=101.0,
        distillation_abv_pct=(-1.0, float("nan")),
        entry_abv_pct=63.0,
        enzymes="malt olny",
        country="Scotland",
        places=(("brew", "FR"),),
        additions=("honey",),
        stays=(CaskStay("oak", 0.0, True, True, dt.date(2022, 1, 1), dt.date(2021, 1, 1)),),
        distilled=(dt.date(2022, 3, 2), dt.date(2022, 3, 1)),
    )
    with pytest.raises(Refused) as refused:
        judge_all(case, ON)
    text = str(refused.value)
    for piece in ("add to 90.00 %", "101 %vol", "-1 %vol", "nan %vol", "malt only", "Scotland", "brew", "honey", "0 L"):
        assert piece in text
    for piece in ("before in on", "before the first", "flour of whole", "Did you mean barley"):
        assert piece in text


def test_an_empty_mash_and_a_cask_stronger_than_the_spirit_are_refused() -> None:
    with pytest.raises(Refused, match="no grain"):
        judge("EU_WHISKY", facts(grist=()), ON)
    with pytest.raises(Refused, match="stronger than the last distillation"):
        judge("EU_WHISKY", facts(entry_abv_pct=71.0), ON)


def test_grain_that_is_no_cereal_is_judged_and_warned_of() -> None:
    grist = (part(pct=90), part("buckwheat", False, pct=5), part("potato", False, pct=5))
    answer = judge("EU_WHISKY", facts(grist=grist), ON)
    assert answer.verdict is Verdict.FAIL
    assert any("potato" in warning for warning in answer.warnings)
