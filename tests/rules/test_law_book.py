"""A rule is data: edited in a file, dated, and refused with every fault when the file is wrong."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from gristwright.basics import Refused, Verdict
from gristwright.rules.law import book_from, judge, screen, share_rules
from rules.law_sample import ON, facts, part

SHIPPED = Path(str(files("gristwright.reference"))) / "law"
POT = (part(pct=40), part(malted=False, pct=50), part("oats", False, pct=10))
IRISH = facts(grist=POT, country="IE")


def edited(folder: Path, old: str, new: str, name: str = "ireland.toml") -> Path:
    """A copy of the shipped rules with one text changed."""
    for file in SHIPPED.glob("*.toml"):
        text = file.read_text(encoding="utf-8")
        assert file.name != name or old in text
        (folder / file.name).write_text(text.replace(old, new) if file.name == name else text, encoding="utf-8")
    return folder


def test_a_limit_edited_in_a_file_changes_the_verdict(tmp_path: Path) -> None:
    book = book_from(edited(tmp_path, "limit_pct = 5\n", "limit_pct = 30\n"))
    assert judge("IE_POT_STILL", IRISH, ON).verdict is Verdict.FAIL
    assert judge("IE_POT_STILL", IRISH, ON, book).verdict is Verdict.PASS


def test_a_rule_begins_and_ends_on_its_days(tmp_path: Path) -> None:
    book = book_from(edited(tmp_path, "limit_pct = 5\n", "limit_pct = 5\nuntil = 2027-01-01\n"))
    verdicts = [judge("IE_POT_STILL", IRISH, day, book).verdict for day in (dt.date(2026, 12, 31), dt.date(2027, 1, 1))]
    assert verdicts == [Verdict.FAIL, Verdict.PASS]
    bottled_in_england = facts(places=(("bottle", "GB-ENG"),))
    asked = [
        {a.rule_id for a in judge("GB_SCOTCH_SINGLE_MALT", bottled_in_england, day).answers}
        for day in (dt.date(2012, 11, 22), dt.date(2012, 11, 23))
    ]
    assert ["SC-7d" in ids for ids in asked] == [False, True]


def test_a_file_of_ones_own_stands_beside_the_shipped_rules(tmp_path: Path) -> None:
    own = tmp_path / "house.toml"
    own.write_text(
        """format = "gristwright.law/1"
market = "invented"
read_on = 2026-11-25
[[category]]
key = "HOUSE"
title = "An invented house rule"
version_date = 2026-01-01
source = "invented"
seen = "invented"
confidence = "invented"
includes = ["EU_WHISKY"]
[[category.rule]]
id = "H-1"
sentence = "No more than 12.5 % caramel malt."
kind = "share"
where = { process = ["caramel"] }
op = "<="
limit_pct = 12.5
source = "invented"
standing = "invented"
""",
        encoding="utf-8",
    )
    book = book_from(SHIPPED, own)
    for pct, expected in ((12.5, Verdict.PASS), (12.51, Verdict.FAIL)):
        grist = (part(pct=100 - pct), part(process="caramel", pct=pct))
        assert judge("HOUSE", facts(grist=grist), ON, book).verdict is expected


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("limit_pct = 5\n", "limit_pct = 5.005\n", "in steps of 0.01"),
        ("limit_pct = 5\n", 'limit_pct = "5"\n', "in steps of 0.01"),
        ('kind = "runs"', 'kind = "run"', 'kind "run" is not known'),
        ('op = "<="\nlimit_pct = 5\n', 'op = "=<"\nlimit_pct = 5\n', '"=<" is not a comparison'),
        ("least = 2\n", "", '"least" is missing'),
        ("most = 3\n", "most = 3\nextra = 1\n", '"extra" means nothing'),
        ('includes = ["EU_WHISKY"]', 'includes = ["EU_WHISKEY"]', '"EU_WHISKEY" is named but is not in the book'),
        ('includes = ["EU_WHISKY"]', 'includes = ["IE_MALT"]', "includes itself"),
        ('id = "IW-2b"', 'id = "IW-2a"', '"IW-2a" is given twice'),
        ('where = { species_not = ["barley"] }', 'where = { grain = ["barley"] }', '"grain" selects nothing'),
        ('where = { species_not = ["barley"] }', 'where = { species_not = "barley" }', "not a list of words"),
        ('where = { species_not = ["barley"] }', 'where = { species_not = ["@barleys"] }', "not a list of words.toml"),
        ('where = { species_not = ["barley"] }', 'where = "barley"', "not a table"),
        ("read_on = 2026-11-25", 'read_on = "2026-11-25"', "is not a date"),
        ('allowed = ["column"]', 'allowed = "column"', "not a list of words"),
        ('of = "still"', 'of = "stills"', '"stills" is not known'),
        ('format = "gristwright.law/1"', 'format = "gristwright.law/2"', "is not known"),
        ('standing = "published"', 'standing = "sure"', 'standing "sure" is not known'),
        ('market = "Ireland"', "market = ", "cannot be read"),
    ],
)
def test_a_faulty_rule_file_is_refused_with_the_fault_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        book_from(edited(tmp_path, old, new))
    assert said in str(refused.value)


def test_share_rules_are_handed_out_as_data() -> None:
    rules = {rule.rule_id: (rule.op, rule.limit_parts) for rule in share_rules("IE_POT_STILL")}
    assert rules["IW-2a"] == (">=", 3000)
    assert rules["IW-2c"] == ("<=", 500)
    assert "EU-1a" in rules


def test_a_screening_agrees_with_judging_bill_by_bill() -> None:
    lots = (part(), part(process="caramel"), part(malted=False), part("rye"), part("maize", False, form="unknown"))
    grid = np.array(np.meshgrid(*[np.arange(0, 10001, 2500)] * len(lots))).reshape(len(lots), -1).T
    bills = grid[grid.sum(axis=1) == 10000]
    keys = ("EU_WHISKY", "EU_SINGLE_MALT", "IE_POT_STILL", "IE_GRAIN", "US_BOURBON", "US_MALT")
    found = screen(keys, bills, lots)
    for key in keys:
        ids = {rule.rule_id for rule in share_rules(key)}
        for bill, passes in zip(bills, found[key], strict=True):
            grist = tuple(
                part(lot.species, lot.malted, lot.form, lot.process, parts / 100)
                for lot, parts in zip(lots, bill, strict=True)
            )
            answers = [a for a in judge(key, facts(grist=grist), ON).answers if a.rule_id in ids]
            assert passes == all(a.verdict is Verdict.PASS for a in answers)
    assert found["EU_SINGLE_MALT"].sum() == 5  # 0, 25 ... 100 % caramel malt and no other grain


def test_a_screening_refuses_bills_and_lots_that_cannot_be() -> None:
    lots = (part(), part("rye"))
    with pytest.raises(Refused, match="do not add to 100"):
        screen(["EU_WHISKY"], np.array([[5000, 4000], [5000, 5000]]), lots)
    with pytest.raises(Refused, match="shape"):
        screen(["EU_WHISKY"], np.array([[10000]]), lots)
    with pytest.raises(Refused, match="not in the rule book"):
        screen(["EU_WISKY"], np.array([[5000, 5000]]), lots)
