"""Every threshold from both sides, exact decimals and calendar dates. Consistency with the rule files, not the law."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from gristwright.basics import Verdict
from gristwright.records.law import CaskStay
from gristwright.rules.law import categories, standard_book
from gristwright.rules.law.calendar import add_months, is_aged, reached_on
from house.places import DOCS
from rules.law_sample import FILLED, bourbon, facts, part, stay, verdict

PASS, FAIL = Verdict.PASS, Verdict.FAIL
# Every transition is over.
AFTER = dt.date(2031, 1, 1)


@pytest.mark.parametrize(
    ("key", "rule_id", "changes", "expected"),
    [
        ("EU_WHISKY", "EU-4", {"distillation_abv_pct": (22.0, 94.79)}, PASS),
        ("EU_WHISKY", "EU-4", {"distillation_abv_pct": (22.0, 94.8)}, FAIL),
        ("EU_WHISKY", "EU-4", {"distillation_abv_pct": (22.0, 94.8 - 1e-12)}, FAIL),
        ("EU_WHISKY", "EU-4", {"distillation_abv_pct": (94.9, 70.0)}, FAIL),
        ("GB_SCOTCH", "SC-3a", {"distillation_abv_pct": (22.0, 94.79)}, PASS),
        ("GB_SCOTCH", "SC-3a", {"distillation_abv_pct": (22.0, 94.8)}, FAIL),
        ("US_WHISKY", "US-2", {"distillation_abv_pct": (94.99,)}, PASS),
        ("US_WHISKY", "US-2", {"distillation_abv_pct": (95.0,)}, FAIL),
        ("JP_WHISKY", "JP-3", {"distillation_abv_pct": (94.99,)}, PASS),
        ("JP_WHISKY", "JP-3", {"distillation_abv_pct": (95.0,)}, FAIL),
        ("US_BOURBON", "US-BO-160", {"distillation_abv_pct": (60.0, 80.0)}, PASS),
        ("US_BOURBON", "US-BO-160", {"distillation_abv_pct": (60.0, 80.01)}, FAIL),
        ("US_BOURBON", "US-BO-125", {"entry_abv_pct": 62.5}, PASS),
        ("US_BOURBON", "US-BO-125", {"entry_abv_pct": 62.51}, FAIL),
        ("EU_WHISKY", "EU-7", {"bottle_abv_pct": 40.0}, PASS),
        ("EU_WHISKY", "EU-7", {"bottle_abv_pct": 39.99}, FAIL),
        ("GB_SCOTCH", "SC-6", {"bottle_abv_pct": 40.0}, PASS),
        ("GB_SCOTCH", "SC-6", {"bottle_abv_pct": 39.99}, FAIL),
        ("US_WHISKY", "US-4", {"bottle_abv_pct": 40.0}, PASS),
        ("US_WHISKY", "US-4", {"bottle_abv_pct": 39.99}, FAIL),
        ("CA_WHISKY", "CA-6", {"bottle_abv_pct": 39.99}, FAIL),
        ("JP_WHISKY", "JP-5", {"bottle_abv_pct": 39.99}, FAIL),
        ("AU_WHISKY", "AU-3", {"bottle_abv_pct": 37.0}, PASS),
        ("AU_WHISKY", "AU-3", {"bottle_abv_pct": 36.99}, FAIL),
        ("US_BONDED_BOURBON", "US-BBO-50", {"bottle_abv_pct": 50.0}, PASS),
        ("US_BONDED_BOURBON", "US-BBO-50", {"bottle_abv_pct": 49.99}, FAIL),
        ("US_BONDED_BOURBON", "US-BBO-50", {"bottle_abv_pct": 50.01}, FAIL),
        ("EU_WHISKY", "EU-5", {"stays": (stay(capacity_L=700),)}, PASS),
        ("EU_WHISKY", "EU-5", {"stays": (stay(capacity_L=701),)}, FAIL),
        ("GB_SCOTCH", "SC-4a", {"stays": (stay(capacity_L=700),)}, PASS),
        ("GB_SCOTCH", "SC-4a", {"stays": (stay(capacity_L=701),)}, FAIL),
        ("US_ASM", "US-AS-oak", {"stays": (stay(capacity_L=700),)}, PASS),
        ("US_ASM", "US-AS-oak", {"stays": (stay(capacity_L=701),)}, FAIL),
        ("CA_WHISKY", "CA-4", {"stays": (stay(capacity_L=701),)}, FAIL),
        ("JP_WHISKY", "JP-4", {"stays": (stay(capacity_L=701),)}, FAIL),
        ("IE_POT_STILL", "IW-2e", {"distillation_abv_pct": (70.0,)}, FAIL),
        ("IE_POT_STILL", "IW-2e", {"distillation_abv_pct": (20.0, 50.0, 84.0)}, PASS),
        ("IE_POT_STILL", "IW-2e", {"distillation_abv_pct": (20.0, 40.0, 60.0, 84.0)}, FAIL),
    ],
)
def test_a_strength_or_size_is_judged_on_the_right_side(
    key: str, rule_id: str, changes: dict[str, Any], expected: Verdict
) -> None:
    assert verdict(key, facts(bottled=AFTER, **changes), rule_id) is expected


SHARES = [
    ("EU_WHISKY", "EU-1a", ("barley", True), 0.01, 0.0),
    ("GB_SCOTCH", "SC-1a", ("barley", True), 0.01, 0.0),
    ("JP_WHISKY", "JP-1a", ("barley", True), 0.01, 0.0),
    ("EU_SINGLE_MALT", "EU-9a", ("barley", True), 100.0, 99.99),
    ("GB_SCOTCH_SINGLE_MALT", "SC-7a", ("barley", True), 100.0, 99.99),
    ("IE_MALT", "IW-3a", ("barley", True), 100.0, 99.99),
    ("US_ASM", "US-AS-100", ("barley", True), 100.0, 99.99),
    ("US_BOURBON", "US-BO-51", ("maize", False), 51.0, 50.99),
    ("US_RYE", "US-RY-51", ("rye", False), 51.0, 50.99),
    ("US_WHEAT", "US-WH-51", ("wheat", False), 51.0, 50.99),
    ("US_MALT", "US-MA-51", ("barley", True), 51.0, 50.99),
    ("US_RYE_MALT", "US-RM-51", ("rye", True), 51.0, 50.99),
    ("US_CORN", "US-CO-80", ("maize", False), 80.0, 79.99),
    ("IE_POT_STILL", "IW-2a", ("barley", True), 30.0, 29.99),
    ("IE_POT_STILL", "IW-2b", ("barley", False), 30.0, 29.99),
    ("IE_POT_STILL", "IW-2c", ("oats", False), 5.0, 5.01),
    ("IE_GRAIN", "IW-4a", ("barley", True), 30.0, 30.01),
    ("IE_GRAIN", "IW-4b", ("maize", False), 70.0, 69.99),
]


@pytest.mark.parametrize(("key", "rule_id", "grain", "inside", "outside"), SHARES)
def test_a_share_is_judged_on_the_right_side(
    key: str, rule_id: str, grain: tuple[str, bool], inside: float, outside: float
) -> None:
    species, malted = grain
    rest = part("barley", True) if (species, malted) == ("oats", False) else part("triticale", False)
    for pct, expected in ((inside, PASS), (outside, FAIL)):
        grist = (part(species, malted, pct=pct), part(rest.species, rest.malted, pct=100 - pct))
        assert verdict(key, facts(grist=grist, bottled=AFTER), rule_id) is expected


def lain(start: dt.date, end: dt.date) -> tuple[CaskStay, ...]:
    """One stay in a cask every category counts."""
    return (CaskStay("oak", 200, True, True, start, end),)


@pytest.mark.parametrize(
    ("key", "rule_id", "months"),
    [
        ("EU_WHISKY", "EU-5", 36),
        ("GB_SCOTCH", "SC-4b", 36),
        ("CA_WHISKY", "CA-4", 36),
        ("JP_WHISKY", "JP-4", 36),
        ("AU_WHISKY", "AU-2", 24),
        ("US_STRAIGHT_BOURBON", "US-SBO-2y", 24),
        ("US_BONDED_BOURBON", "US-BBO-4y", 48),
        ("US_STRAIGHT_ASM", "US-SAS-2y", 24),
    ],
)
def test_the_exact_anniversary_passes_and_a_day_less_fails(key: str, rule_id: str, months: int) -> None:
    out = add_months(FILLED, months)
    assert verdict(key, facts(stays=lain(FILLED, out)), rule_id) is PASS
    assert verdict(key, facts(stays=lain(FILLED, out - dt.timedelta(days=1))), rule_id) is FAIL


def test_a_cask_filled_on_29_february_is_three_years_old_on_1_march() -> None:
    leap = dt.date(2020, 2, 29)
    before = {"distilled": None}
    assert verdict("EU_WHISKY", facts(stays=lain(leap, dt.date(2023, 3, 1)), **before), "EU-5") is PASS
    assert verdict("EU_WHISKY", facts(stays=lain(leap, dt.date(2023, 2, 28)), **before), "EU-5") is FAIL
    assert add_months(leap, 48) == dt.date(2024, 2, 29)


def test_three_calendar_years_are_the_anniversary_whether_1095_or_1096_days() -> None:
    for start in (dt.date(2021, 3, 1), dt.date(2022, 3, 1)):
        end = add_months(start, 36)
        assert (end - start).days in (1095, 1096)
        assert is_aged([(start, end)], 36)
        assert not is_aged([(start, end - dt.timedelta(days=1))], 36)


def test_days_between_two_casks_do_not_count() -> None:
    first = (dt.date(2020, 1, 1), dt.date(2021, 1, 1))
    due = dt.date(2022, 1, 1) + dt.timedelta(days=10)
    assert reached_on([first, (dt.date(2021, 1, 11), dt.date(2023, 1, 1))], 24) == due
    assert is_aged([first, (dt.date(2021, 1, 11), due)], 24)
    assert not is_aged([first, (dt.date(2021, 1, 11), due - dt.timedelta(days=1))], 24)
    assert is_aged([first, (dt.date(2020, 6, 1), dt.date(2022, 1, 1))], 24)


def test_only_charred_new_oak_ages_a_straight_bourbon() -> None:
    moved = add_months(FILLED, 20)
    casks = (
        CaskStay("oak", 200, True, True, FILLED, moved),
        CaskStay("oak", 500, False, False, moved, add_months(FILLED, 40)),
    )
    assert verdict("US_STRAIGHT_BOURBON", bourbon(stays=casks), "US-SBO-2y") is FAIL
    assert verdict("US_BOURBON", bourbon(stays=casks)) is PASS
    assert verdict("EU_WHISKY", bourbon(stays=casks), "EU-5") is PASS


def test_one_season_is_one_half_of_one_year() -> None:
    for last, expected in ((dt.date(2021, 6, 30), PASS), (dt.date(2021, 7, 1), FAIL), (dt.date(2022, 1, 5), FAIL)):
        case = bourbon(distilled=(dt.date(2021, 1, 1), last))
        assert verdict("US_BONDED_BOURBON", case, "US-BBO-season") is expected


def test_a_place_that_is_only_part_of_a_country_is_told_from_the_whole() -> None:
    assert verdict("GB_SCOTCH", facts(country="GB-ENG"), "SC-4c") is FAIL
    assert verdict("GB_SCOTCH", facts(country="GB"), "SC-4c") is Verdict.UNKNOWN
    assert verdict("IE_WHISKEY", facts(country="GB-NIR"), "IW-1") is PASS
    assert verdict("GB_SCOTCH", facts(places=(("mature", "GB-ENG"),)), "SC-4c") is FAIL
    assert verdict("GB_SCOTCH_SINGLE_MALT", facts(places=(("bottle", "GB-ENG"),))) is FAIL
    assert verdict("GB_SCOTCH_SINGLE_GRAIN", facts(places=(("bottle", "GB-ENG"),))) is FAIL


def test_every_rule_says_in_a_sentence_what_it_asks_and_where_it_was_seen() -> None:
    for category in standard_book().categories.values():
        assert category.version_date <= category.read_on
        assert category.seen
        assert category.confidence
        assert all(rule.sentence.endswith(".") and rule.source for rule in category.rules)


def test_the_page_names_every_category_and_the_day_it_was_read() -> None:
    page = (DOCS / "law.md").read_text(encoding="utf-8")
    assert [key for key, _, _ in categories() if f"`{key}`" not in page] == []
    read = {category.read_on for category in standard_book().categories.values()}
    assert [day for day in read if f"{day.day} {day:%B %Y}" not in page] == []
