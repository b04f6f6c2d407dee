"""The tables of the markers, read whole: one that is only half there is refused by name. See docs/give_and_gain.md.

Data: reference/tables/markers.csv, marker_steps.csv, marker_cut_slopes.csv, smoke_patterns.csv, odour_thresholds.csv.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import cache
from typing import TypeAlias

from gristwright.basics import Address, Problem, Standing, refuse_if_any
from gristwright.records.markers_through import MarkerTrade, OdourThreshold
from gristwright.reference.grains import grains
from gristwright.reference.load import csv_rows, toml_table

MARKERS, STEPS, SLOPES = "tables/markers.csv", "tables/marker_steps.csv", "tables/marker_cut_slopes.csv"
SMOKES, THRESHOLDS, TRADE = "tables/smoke_patterns.csv", "tables/odour_thresholds.csv", "tables/marker_trade.csv"
# All phenols of a smoke: what its parts add up to, so that it has no steps of its own.
TOTAL = "phenols"
SHARES = ("wort", "wash", "hearts")
# What a month in store leaves of a part of the smoke.
IN_STORE = "store_month"
# Malt that was kilned and neither stewed nor roasted, whose content is the step `malt_pale`.
PALE = "pale"
WORDS = ("title", "note", "processes", "brought_by", "followed", "passes", "sentence")
Row: TypeAlias = dict[str, str]


@cache
def told() -> tuple[Row, ...]:
    """Every marker, followed or not. Raises Refused with every one that is only half there."""
    refuse_if_any(marker_problems())
    return csv_rows(MARKERS)


@cache
def chains() -> tuple[Row, ...]:
    """The markers that are followed from malt to cask. Raises Refused as `told`."""
    return tuple(row for row in told() if _followed(row))


def _followed(row: Row) -> bool:
    return row["followed"] == "yes"


@cache
def thresholds(marker: str) -> tuple[OdourThreshold, ...]:
    """The odour thresholds of a marker's compounds, those measured nearest to spirit first."""
    rows = [
        OdourThreshold(
            row["compound"], float(row["ug_per_L"]), row["matrix"], float(row["ethanol_pct"]), float(row["part"]),
            row["standing"], row["source"],
        )
        for row in csv_rows(THRESHOLDS)
        if row["marker"] == marker
    ]  # fmt: skip
    return tuple(sorted(rows, key=lambda one: (not one.in_spirit, -one.ethanol_pct, one.ug_per_L)))


@cache
def trade() -> tuple[tuple[frozenset[str], MarkerTrade], ...]:
    """What the trade says beside what the numbers say, each with the ways of making that it is about."""
    names = ("trade", "says", "numbers", "trial", "standing", "source")
    rows = csv_rows(TRADE)
    return tuple((frozenset(row["processes"].split("|")), MarkerTrade(*(row[name] for name in names))) for row in rows)


@cache
def cut_slopes(name: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Strengths at which the hearts end [%vol], and the marker's share there over that at 60 %vol."""
    rows = [row for row in csv_rows(SLOPES) if row["marker"] == name]
    return tuple(float(row["hearts_end_abv_pct"]) for row in rows), tuple(float(row["relative_to_60"]) for row in rows)


def marker_problems() -> list[Problem]:
    """Every marker that is only half there, by its name and what it lacks."""
    rows = csv_rows(MARKERS)
    problems = [problem for row in rows for problem in _words(row)]
    followed = [row for row in rows if _followed(row)]
    problems += [problem for row in followed for problem in (*_steps(row), *_slope(row))]
    return [*problems, *_smokes(followed), *_strangers({row["marker"] for row in followed}), *_thresholds(), *_trade()]


def _fault(table: str, marker: str, what: str, way_out: str = "Add it, with its source.") -> Problem:
    return Problem(Address(table).to(marker), what, way_out)


def _words(row: Row) -> Iterator[Problem]:
    for name in WORDS:
        if not row[name]:
            yield _fault(MARKERS, row["marker"], f"has no {name}.", "Add it.")
    if row["followed"] not in ("yes", "no", ""):
        yield _fault(MARKERS, row["marker"], f"{row['followed']!r} is neither yes nor no.", "Say whether it is.")
    yield from _sourced(MARKERS, row["marker"], "it", row)
    for process in filter(None, (row["processes"] or "").split("|")):
        if process not in toml_table("tables/types.toml")["process"] and process not in grains() and process != PALE:
            yield _fault(
                MARKERS, row["marker"], f"{process!r} is no process of a malt and no grain.", "Correct the word."
            )
    for name in filter(None, (row["fields"] or "").split()):
        if name not in {field["field"] for field in csv_rows("tables/certificate_fields.csv")}:
            yield _fault(MARKERS, row["marker"], f"{name!r} is no field of a certificate.", "Correct the word.")
    if row["part_of"] not in ("", TOTAL):
        yield _fault(MARKERS, row["marker"], f"is part of {row['part_of']!r}.", f"Only {TOTAL} has parts.")


def _steps(row: Row) -> Iterator[Problem]:
    """Every step with a share; what the malt holds, too, unless the marker is a part of the total."""
    held = {step["step"]: step for step in csv_rows(STEPS) if step["marker"] == row["marker"]}
    pale = ("malt_pale",) if PALE in row["processes"].split("|") else ()
    content = (IN_STORE,) if row["part_of"] else ("malt", *pale)
    wanted = () if row["marker"] == TOTAL else (*SHARES, "cask_year", *content)
    for name in wanted:
        if name not in held:
            yield _fault(STEPS, row["marker"], f"has no step {name}.")
    for name, step in held.items():
        yield from _sourced(STEPS, row["marker"], f"the step {name}", step)
        if not (_number(step["middle"]) > 0.0 and _number(step["factor"]) >= 1.0 and step["unit"]):
            yield _fault(STEPS, row["marker"], f"the step {name} lacks a middle, a factor or a unit.", "Fill it.")


def _sourced(table: str, marker: str, what: str, row: Mapping[str, str]) -> Iterator[Problem]:
    if not row["source"] or row["standing"] not in tuple(Standing):
        yield _fault(table, marker, f"{what} has no source or no standing.")


def _number(text: str | None) -> float:
    try:
        return float(text or "nan")
    except ValueError:
        return math.nan


def _slope(row: Row) -> Iterator[Problem]:
    if not row["slope"]:
        return
    rows = [step for step in csv_rows(SLOPES) if step["marker"] == row["slope"]]
    numbers = [_number(step[name]) for step in rows for name in ("hearts_end_abv_pct", "relative_to_60")]
    if len(rows) < 2 or any(map(math.isnan, numbers)):
        yield _fault(SLOPES, row["marker"], f"its slope {row['slope']!r} has no rows, or one without a number.")


def _thresholds() -> Iterator[Problem]:
    """Every threshold is one of a marker, with its numbers, its liquid and its source."""
    known = {row["marker"] for row in csv_rows(MARKERS)}
    for row in csv_rows(THRESHOLDS):
        if row["marker"] not in known:
            yield _fault(THRESHOLDS, row["marker"], f"is not in {MARKERS}.", "Add the marker, or take the row out.")
        numbers = _number(row["ug_per_L"]) > 0.0 and _number(row["ethanol_pct"]) >= 0.0
        if not (numbers and 0.0 < _number(row["part"]) <= 1.0 and row["matrix"] and row["compound"]):
            what = f"the threshold of {row['compound'] or 'a compound'} lacks a number, a name or its liquid."
            yield _fault(THRESHOLDS, row["marker"], what, "Fill it.")
        yield from _sourced(THRESHOLDS, row["marker"], "its threshold", row)


def _trade() -> Iterator[Problem]:
    for row in csv_rows(TRADE):
        for name in ("processes", "says", "numbers", "trial"):
            if not row[name]:
                yield _fault(TRADE, row["trade"], f"has no {name}.", "Add it.")
        yield from _sourced(TRADE, row["trade"], "it", row)


def _smokes(rows: list[Row]) -> Iterator[Problem]:
    """Every smoke says its share of every part."""
    parts = [row["marker"] for row in rows if row["part_of"] == TOTAL]
    patterns = csv_rows(SMOKES)
    for smoke in dict.fromkeys(row["smoke"] for row in patterns):
        held = {row["marker"]: row for row in patterns if row["smoke"] == smoke}
        for marker in parts:
            if marker not in held:
                yield _fault(SMOKES, marker, f"has no share of {smoke} smoke.")
                continue
            yield from _sourced(SMOKES, marker, f"its share of {smoke} smoke", held[marker])
            if not (_number(held[marker]["share"]) >= 0.0 and _number(held[marker]["factor"]) >= 1.0):
                yield _fault(SMOKES, marker, f"its share of {smoke} smoke lacks a number.", "Fill it.")


def _strangers(known: set[str]) -> Iterator[Problem]:
    """Rows of the other tables for a marker that is not followed."""
    for table in (STEPS, SMOKES):
        for marker in dict.fromkeys(row["marker"] for row in csv_rows(table)):
            if marker and marker not in known:
                yield _fault(table, marker, f"is not followed in {MARKERS}.", "Add it, or take the row out.")
