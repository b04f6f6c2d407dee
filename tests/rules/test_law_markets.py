"""Which categories are judged unasked, and which of many answers are shown: by our own tables, no truth of the law."""

from __future__ import annotations

import pytest

from gristwright.basics import Verdict, at
from gristwright.reference.codes import places
from gristwright.reference.load import csv_rows
from gristwright.rules.law import categories, fitting, judge_all, market_notes, market_problems, markets_known, unasked
from rules.law_sample import ON, bourbon, facts, part, stay

MARKET = {key: market for key, _, market in categories()}
# Members of the Union as its treaties list them, common practice.
UNION = "AT BE BG CY CZ DE DK EE ES FI FR GR HR HU IE IT LT LU LV MT NL PL PT RO SE SI SK"


def asked(country: str | None, *markets: str) -> set[str]:
    """The markets of the categories judged unasked."""
    return {MARKET[key] for key in unasked(country, markets)}


def test_the_table_names_markets_that_have_rules_and_places_that_are() -> None:
    known = {code for code, _ in places()} | {"EU"}
    for row in csv_rows("tables/law_markets.csv"):
        assert row["code"] in known
        assert {*row["made"].split("|"), *row["sold"].split("|")} - {""} <= set(MARKET.values())


def test_every_member_of_the_union_has_its_rules_and_no_other_country_has() -> None:
    sold = {row["code"] for row in csv_rows("tables/law_markets.csv") if "European Union" in row["sold"]}
    assert sold == {*UNION.split(), "EU"}


@pytest.mark.parametrize(
    ("country", "markets", "expected"),
    [
        ("DE", (), {"European Union"}),
        ("IE", (), {"European Union", "Ireland"}),
        ("GB-NIR", (), {"Ireland"}),
        ("GB-SCT", (), {"Great Britain"}),
        ("GB-ENG", (), set()),
        ("GB", (), set()),
        ("US-KY", (), {"United States"}),
        ("CH", (), set()),
        ("US", ("DE",), {"United States", "European Union"}),
        ("US", ("FR", "DE", "EU"), {"United States", "European Union"}),
        ("DE", ("GB",), {"European Union"}),
        ("DE", ("IE",), {"European Union"}),
        ("GB-SCT", ("GB", "DE"), {"Great Britain", "European Union"}),
        (None, ("JP",), {"Japan"}),
        ("USA", (), set()),
    ],
)
def test_what_is_judged_unasked(country: str | None, markets: tuple[str, ...], expected: set[str]) -> None:
    assert asked(country, *markets) == expected


def test_a_market_without_rules_is_one_fault_that_names_what_may_be_meant() -> None:
    [fault] = market_problems(["DE", "Ireland", "UK", "XX"], at("bill", "markets"))
    assert fault.what.startswith("'Ireland', 'UK', 'XX' are no markets whose rules are here. Is IE")
    assert all(code in fault.way_out for code, _ in markets_known())
    assert market_problems([code for code, _ in markets_known()], at("bill")) == []


def test_what_is_not_judged_is_said() -> None:
    [note] = market_notes("DE", ["GB"])
    assert "made outside Scotland is not judged" in note
    assert market_notes("GB-ENG", []) == (note,)
    assert market_notes("GB-SCT", ["GB"]) == ()
    assert market_notes("CH", []) == ("No rules of CH, where the house stands, are here.",)
    assert "made elsewhere" in market_notes("DE", ["CA"])[0]
    assert market_notes("CA", ["CA"]) == ()


def of(case, country, markets=(), by_name=()):
    answers = {answer.category: answer for answer in judge_all(case, ON)}
    return fitting([answers[key] for key in by_name], [answers[key] for key in unasked(country, markets)])


def keys(answers) -> list[str]:
    return [answer.category for answer in answers]


def test_of_twenty_names_the_best_that_fit_are_shown() -> None:
    found = of(bourbon(), "US")
    assert keys(found.best) == ["US_STRAIGHT_BOURBON"]
    assert set(keys(found.covered)) == {"US_WHISKY", "US_BOURBON"}
    assert len(found.best) + len(found.covered) + len(found.fails) == len(unasked("US", ()))


def test_a_name_asked_for_is_shown_first_whatever_its_verdict_and_covers_what_it_takes_over() -> None:
    found = of(bourbon(), "US", by_name=("US_CORN", "US_STRAIGHT_BOURBON"))
    assert keys(found.asked) == ["US_CORN", "US_STRAIGHT_BOURBON"]
    assert found.best == ()
    assert set(keys(found.covered)) == {"US_WHISKY", "US_BOURBON"}


def test_a_name_that_is_unknown_does_not_hide_one_that_stands() -> None:
    found = of(bourbon(stays=(stay(60, new=True),), bottle_abv_pct=50.0, distilled=None), "US")
    assert keys(found.best) == ["US_STRAIGHT_BOURBON", "US_BONDED_BOURBON"]
    assert [answer.verdict for answer in found.best] == [Verdict.PASS, Verdict.UNKNOWN]


def test_where_no_name_of_a_market_stands_the_nearest_says_why() -> None:
    found = of(facts(grist=(part("rye"),), country="DE", stays=(stay(30),)), "DE")
    assert keys(found.best) == ["EU_WHISKY"]
    assert [rule.rule_id for rule in found.best[0].deciding] == ["EU-5"]
    assert keys(found.fails) == ["EU_SINGLE_MALT"]
