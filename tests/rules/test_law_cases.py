"""Every category on whole cases. The cases share their reading with the rules: consistency, not the law."""

from __future__ import annotations

import csv
import datetime as dt
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from gristwright.basics import Verdict
from gristwright.records.law import CaskStay, WhiskyFacts
from gristwright.rules.law import categories, judge_all
from gristwright.rules.law.calendar import add_months
from rules.law_sample import FILLED, ON, facts, part, stay

LINES = (Path(__file__).parent / "law_cases.csv").read_text(encoding="utf-8").splitlines()
CASES = list(csv.DictReader(line for line in LINES if not line.startswith("#")))
NAMES = {"bottle": "bottle_abv_pct", "entry": "entry_abv_pct", "ferment": "ferment_agents"}
PLAIN = ("country", "enzymes", "still")
OF_CASK = ("months", "capacity_L", "wood", "new", "charred", "country")


def facts_of(given: dict[str, Any]) -> WhiskyFacts:
    """The facts of one line of the case file."""
    cask = {name: given[name] for name in OF_CASK if name in given and name != "country"}
    changes: dict[str, Any] = {
        "stays": () if given.get("months") == 0 else one_after_the_other(given.get("stays", [cask]))
    }
    changes |= {name: given[name] for name in PLAIN if name in given}
    changes |= {field: given[name] for name, field in NAMES.items() if name in given}
    if "grist" in given:
        changes["grist"] = tuple(part(*line) for line in given["grist"])
    if "distillation" in given:
        changes["distillation_abv_pct"] = tuple(given["distillation"])
    if "bottled" in given:
        changes["bottled"] = dt.date.fromisoformat(given["bottled"])
    if "additions" in given:
        changes["additions"] = tuple(given["additions"])
    return facts(**changes)


def one_after_the_other(casks: list[dict[str, Any]]) -> tuple[CaskStay, ...]:
    """Stays that follow each other from the day of filling."""
    stays: list[CaskStay] = []
    for cask in casks:
        begins = stays[-1].date_out if stays else FILLED
        lain = stay(**{name: value for name, value in cask.items() if name != "country"})
        ends = add_months(begins or FILLED, cask.get("months", 40))
        stays.append(replace(lain, date_in=begins, date_out=ends, country=cask.get("country")))
    return tuple(stays)


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_a_case_passes_the_categories_expected_and_fails_all_others(case: dict[str, str]) -> None:
    answers = judge_all(facts_of(json.loads(case["facts"])), ON)
    passing = {answer.category for answer in answers if answer.verdict is Verdict.PASS}
    assert passing == set(case["expected"].split())
    unknown = {answer.category for answer in answers if answer.verdict is Verdict.UNKNOWN}
    assert unknown == set(case["open"].split())
    assert all(answer.verdict is Verdict.FAIL for answer in answers if answer.category not in passing | unknown)
    assert all(rule.reason and rule.source and rule.sentence for answer in answers for rule in answer.answers)


def test_every_category_passes_in_some_case() -> None:
    expected = {category for case in CASES for category in case["expected"].split()}
    assert {key for key, _, _ in categories()} == expected
