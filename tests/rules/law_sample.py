"""Facts for the tests of the rules: one plain case and the changes a test asks."""

from __future__ import annotations

import datetime as dt
from typing import Any

from gristwright.basics import Verdict
from gristwright.records.law import CaskStay, GristPart, WhiskyFacts
from gristwright.rules.law import judge
from gristwright.rules.law.calendar import add_months

FILLED = dt.date(2022, 3, 15)
ON = dt.date(2026, 11, 26)


def part(
    species: str = "barley",
    malted: bool | None = True,
    form: str = "whole",
    process: str = "none",
    pct: float = 100,
    dry: int | None = None,
) -> GristPart:
    """One part of the mash, its share in per cent."""
    return GristPart(species, malted, form, process, round(pct * 100), dry)


def stay(
    months: int = 40,
    capacity_L: float | None = 200,
    wood: str | None = "oak",
    new: bool | None = False,
    charred: bool | None = True,
) -> CaskStay:
    """A stay from the day of filling."""
    return CaskStay(wood, capacity_L, charred, new, FILLED, add_months(FILLED, months))


def facts(**changes: Any) -> WhiskyFacts:
    """The plain case (all malted barley, Scotland, everything known) with changes."""
    plain: dict[str, Any] = {
        "grist": (part(),),
        "enzymes": "malt only",
        "ferment_agents": "yeast",
        "country": "GB-SCT",
        "one_distillery": True,
        "still": "batch pot",
        "distillation_abv_pct": (22.0, 70.0),
        "entry_abv_pct": 62.5,
        "stays": (stay(),),
        "additions": ("water",),
        "bottle_abv_pct": 46.0,
        "warehouse": True,
        "distilled": (dt.date(2022, 3, 1), dt.date(2022, 3, 10)),
    }
    return WhiskyFacts(**{**plain, **changes})


def bourbon(corn_pct: float = 70, **changes: Any) -> WhiskyFacts:
    """A bourbon of 30 months in charred new oak, with changes."""
    grist = (part("maize", False, pct=corn_pct), part("rye", False, pct=86 - corn_pct), part(pct=14))
    plain = {"country": "US", "grist": grist, "stays": (stay(30, new=True),), "distillation_abv_pct": (60.0, 65.0)}
    return facts(**{**plain, **changes})


def verdict(key: str, case: WhiskyFacts, rule_id: str = "", on: dt.date = ON) -> Verdict:
    """The verdict of a category, or of one of its rules."""
    answer = judge(key, case, on)
    return next(a.verdict for a in answer.answers if a.rule_id == rule_id) if rule_id else answer.verdict
