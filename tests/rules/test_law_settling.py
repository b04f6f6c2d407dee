"""What is not known names the line that settles it; a share names its grain; dated rules are judged on their days."""

from __future__ import annotations

import dataclasses
import datetime as dt
from pathlib import Path

import pytest

from gristwright.basics import Verdict
from gristwright.files.toml_in import NEWEST
from gristwright.records.enquiry import CaskPlan
from gristwright.records.law import CaskStay, SettledBy, WhiskyFacts
from gristwright.reference.load import csv_rows
from gristwright.rules.law import judge, judge_all, standard_book
from gristwright.rules.law.book import book_from
from gristwright.rules.law.counted import counted
from gristwright.rules.law.settling import facts_named, settled_by
from house.places import PACKAGE
from rules.law_sample import FILLED, ON, bourbon, facts, part, stay, verdict

SHIPPED = PACKAGE / "reference" / "law"
UNKNOWABLE = [field.name for field in dataclasses.fields(WhiskyFacts) if field.name not in ("grist", "places")]
NOTHING = CaskStay(None, None, None, None, None, None)
AFTER = stay(20, wood=None, capacity_L=None, new=None, charred=None)
CASES = [
    *(dataclasses.replace(facts(country="GB"), **{name: None}) for name in UNKNOWABLE),
    facts(stays=(NOTHING,)),
    facts(stays=(stay(30), AFTER)),
    facts(grist=(part("unknown"),)),
    facts(grist=(part(malted=None, form="unknown"),)),
    facts(enzymes="koji"),
    facts(additions=("other whisky",)),
    facts(stays=(stay(wood="mizunaro"),)),
    facts(stays=(stay(), stay(2, wood="steel"))),
    bourbon(51.5, distilled=None),
]


@pytest.mark.parametrize("case", CASES)
def test_every_unknown_names_what_settles_it_and_nothing_else_does(case: WhiskyFacts) -> None:
    for answer in judge_all(case, ON):
        for rule in answer.answers:
            if rule.verdict in (Verdict.UNKNOWN, Verdict.DEPENDS):
                assert rule.settled_by, (answer.category, rule.rule_id)
                assert rule.told == f"{rule.reason} Settled by {'; '.join(x.words for x in rule.settled_by)}."
            elif not rule.basis_risk:
                assert rule.settled_by == ()


def test_the_lines_are_of_files_and_fields_that_are() -> None:
    named = {field.name for field in dataclasses.fields(CaskPlan)}
    for row in csv_rows("tables/law_settled_by.csv"):
        assert row["file"] in ("", "lots.csv", *(f"{kind}.toml" for kind in NEWEST))
        if row["line"].startswith("[cask] "):
            assert row["line"].split()[1] in named
    assert len(facts_named()) == len(set(facts_named()))


def test_a_line_holds_a_value_that_would_do() -> None:
    assert settled_by([("cask.charred", "true")]) == (SettledBy("plant.toml", "[cask.kind] charred = true"),)
    assert settled_by([("stay.wood#2", "oak")])[0].words == 'plant.toml: [[cask.stays]] no. 2, wood = "oak"'
    case = bourbon(stays=(stay(30, new=True, charred=None),))
    [rule] = [rule for rule in judge("US_BOURBON", case, ON).answers if rule.rule_id == "US-BO-oak"]
    assert rule.told.endswith("Settled by plant.toml: [cask.kind] charred = true.")


def test_scotland_is_asked_of_a_house_that_says_only_great_britain() -> None:
    [rule] = [rule for rule in judge("GB_SCOTCH", facts(country="GB"), ON).answers if rule.rule_id == "SC-4c"]
    assert rule.settled_by == (SettledBy("plant.toml", 'country = "GB-SCT"'),)


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ({"species": ["barley"], "malted": True}, "malted barley"),
        ({"species": ["maize"]}, "maize"),
        ({"species": ["@cereals"], "malted": True}, "malted cereals"),
        ({"species_not": ["@cereals"]}, "what is no cereal"),
        ({"species_not": ["@cereals", "@pseudocereals"]}, "what is no cereal or pseudocereal"),
        ({"species_not": ["barley"]}, "grain other than barley"),
        ({"malted": False, "form": ["fraction", "husk"]}, "unmalted grain as fraction or husk"),
        (
            {"malted": False, "species": ["maize", "wheat", "barley"], "form_not": ["fraction", "husk"]},
            "unmalted maize, wheat or barley, not as fraction or husk",
        ),
    ],
)
def test_what_is_counted_is_said_in_words(where: dict[str, object], said: str) -> None:
    assert counted(where) == said


def test_no_share_is_told_without_its_grain() -> None:
    for answer in judge_all(bourbon(), ON):
        for rule in answer.answers:
            if rule.share is not None:
                assert rule.reason.startswith(f"{rule.share.counted} ")
                assert rule.share.counted != ""
    shares = [
        rule for category in standard_book().categories.values() for rule in category.rules if rule.kind == "share"
    ]
    assert all(counted(rule.data["where"]) for rule in shares)


# Transitions and dated rules


def single_malt(bottled: dt.date | None, **changes: object) -> WhiskyFacts:
    """95 of malted barley and 5 of malted rye in the United States."""
    grist = (part(pct=95), part("rye", pct=5))
    return facts(country="US", grist=grist, bottled=bottled, **changes)


def test_american_single_malt_of_other_malt_is_open_until_the_transition_ends() -> None:
    """27 CFR 5.143(d), as transcribed: spirit bottled before 19 January 2030 may follow the older rules."""
    for day, expected in ((dt.date(2030, 1, 18), Verdict.UNKNOWN), (dt.date(2030, 1, 19), Verdict.FAIL)):
        assert verdict("US_ASM", single_malt(day)) is expected
    [rule] = [a for a in judge("US_ASM", single_malt(dt.date(2029, 1, 1)), ON).answers if a.rule_id == "US-AS-100"]
    assert "bottled on 2029-01-01, before 2030-01-19: its label may still follow the older rules" in rule.told
    assert "ask the authority" in rule.told


def test_the_day_of_bottling_is_that_of_leaving_the_last_cask_or_the_day_judged() -> None:
    young = stay(12)
    old = dataclasses.replace(young, date_in=dt.date(2029, 1, 19), date_out=dt.date(2030, 1, 19))
    assert verdict("US_ASM", single_malt(None, stays=(young,))) is Verdict.UNKNOWN
    assert verdict("US_ASM", single_malt(None, stays=(young, old))) is Verdict.FAIL
    assert verdict("US_ASM", single_malt(None, stays=()), "US-AS-100", dt.date(2031, 1, 1)) is Verdict.FAIL


def test_a_transition_lets_no_other_place_and_no_mash_without_malt_pass() -> None:
    early = dt.date(2027, 1, 1)
    assert verdict("US_ASM", dataclasses.replace(single_malt(early), country="CA")) is Verdict.FAIL
    assert verdict("US_ASM", bourbon(bottled=early)) is Verdict.FAIL
    assert verdict("US_ASM", dataclasses.replace(single_malt(early), grist=(part(),))) is Verdict.PASS


def test_a_rule_that_ends_before_the_bottling_is_spoken_of(tmp_path: Path) -> None:
    for file in SHIPPED.glob("*.toml"):
        text = file.read_text(encoding="utf-8")
        if file.name == "ireland.toml":
            text = text.replace('id = "IW-2c"', 'id = "IW-2c"\nuntil = 2027-01-01')
        (tmp_path / file.name).write_text(text, encoding="utf-8")
    book = book_from(tmp_path)
    grist = (part(pct=50), part(malted=False, pct=44), part("oats", False, pct=6))
    later = (dataclasses.replace(stay(), date_in=FILLED, date_out=dt.date(2029, 1, 1)),)
    answer = judge("IE_POT_STILL", facts(grist=grist, country="IE", stays=later), ON, book)
    assert answer.verdict is Verdict.FAIL
    assert any(w.startswith("IW-2c ends on 2027-01-01, before the bottling on 2029-01-01") for w in answer.warnings)
    assert judge("IE_POT_STILL", facts(grist=grist, country="IE", stays=later), dt.date(2027, 1, 1), book).verdict is (
        Verdict.PASS
    )


@pytest.mark.parametrize("line", ["transition_until = 2030-01-01", 'transition = "older"', "transition_until = 1"])
def test_half_a_transition_is_refused(tmp_path: Path, line: str) -> None:
    text = (SHIPPED / "canada.toml").read_text(encoding="utf-8").replace('id = "CA-1"', f'id = "CA-1"\n{line}')
    (tmp_path / "canada.toml").write_text(text, encoding="utf-8")
    with pytest.raises(Exception, match="transition"):
        book_from(tmp_path / "canada.toml")
