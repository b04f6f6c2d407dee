"""The tables of the markers, read whole: one that is only half there is refused by name. See docs/give_and_gain.md.

Data: reference/tables/marker_chains.csv, marker_steps.csv, marker_cut_slopes.csv, markers.csv, smoke_patterns.csv.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import cache
from typing import TypeAlias

from gristwright.basics import Address, Problem, Standing, refuse_if_any
from gristwright.reference.grains import grains
from gristwright.reference.load import csv_rows, toml_table

CHAINS, STEPS, SLOPES = "tables/marker_chains.csv", "tables/marker_steps.csv", "tables/marker_cut_slopes.csv"
TOLD, SMOKES = "tables/markers.csv", "tables/smoke_patterns.csv"
# All phenols of a smoke: what its parts add up to, so that it has no steps of its own.
TOTAL = "phenols"
SHARES = ("wort", "wash", "hearts")
# What a month in store leaves of a part of the smoke.
IN_STORE = "store_month"
WORDS = ("title", "processes", "passes", "sentence")
Row: TypeAlias = dict[str, str]


@cache
def chains() -> tuple[Row, ...]:
    """The markers that are followed. Raises Refused with every one that is only half there."""
    refuse_if_any(marker_problems())
    return csv_rows(CHAINS)


@cache
def told() -> tuple[Row, ...]:
    """What is told of each marker; ways of making and verdict of one that is followed are its chain's."""
    of_chain = {row["marker"]: row for row in chains()}
    return tuple(row | _verdict(of_chain[row["chain"]]) if row["chain"] else row for row in csv_rows(TOLD))


def _verdict(chain: Row) -> Row:
    return {name: chain[name] for name in ("processes", "passes")}


@cache
def cut_slopes(name: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Strengths at which the hearts end [%vol], and the marker's share there over that at 60 %vol."""
    rows = [row for row in csv_rows(SLOPES) if row["marker"] == name]
    return tuple(float(row["hearts_end_abv_pct"]) for row in rows), tuple(float(row["relative_to_60"]) for row in rows)


def marker_problems() -> list[Problem]:
    """Every marker that is only half there, by its name and what it lacks."""
    rows = csv_rows(CHAINS)
    problems = [problem for row in rows for problem in (*_words(row), *_steps(row), *_slope(row), *_told(row))]
    return [*problems, *_smokes(rows), *_strangers({row["marker"] for row in rows}), *_of_their_own()]


def _fault(table: str, marker: str, what: str, way_out: str = "Add it, with its source.") -> Problem:
    return Problem(Address(table).to(marker), what, way_out)


def _words(row: Row) -> Iterator[Problem]:
    for name in WORDS:
        if not row[name]:
            yield _fault(CHAINS, row["marker"], f"has no {name}.", "Add it.")
    for process in filter(None, (row["processes"] or "").split("|")):
        if process not in toml_table("tables/types.toml")["process"] and process not in grains():
            yield _fault(
                CHAINS, row["marker"], f"{process!r} is no process of a malt and no grain.", "Correct the word."
            )
    for name in filter(None, (row["fields"] or "").split()):
        if name not in {field["field"] for field in csv_rows("tables/certificate_fields.csv")}:
            yield _fault(CHAINS, row["marker"], f"{name!r} is no field of a certificate.", "Correct the word.")
    if row["part_of"] not in ("", TOTAL):
        yield _fault(CHAINS, row["marker"], f"is part of {row['part_of']!r}.", f"Only {TOTAL} has parts.")


def _steps(row: Row) -> Iterator[Problem]:
    """Every step with a share; what the malt holds, too, unless the marker is a part of the total."""
    held = {step["step"]: step for step in csv_rows(STEPS) if step["marker"] == row["marker"]}
    wanted = () if row["marker"] == TOTAL else (*SHARES, "cask_year", *((IN_STORE,) if row["part_of"] else ("malt",)))
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


def _told(row: Row) -> Iterator[Problem]:
    """What is told of it, once; of the total its parts tell."""
    rows = [other for other in csv_rows(TOLD) if other["chain"] == row["marker"]]
    if row["marker"] != TOTAL and len(rows) != 1:
        yield _fault(TOLD, row["marker"], f"is told of {len(rows)} times.", "Give it one row.")
    for other in rows:
        if other["processes"] or other["passes"]:
            yield _fault(TOLD, row["marker"], "has processes or a verdict of its own.", f"They stand in {CHAINS}.")


def _of_their_own() -> Iterator[Problem]:
    """What is told of a marker: words and a source; of one that is not followed, its processes and verdict."""
    for row in csv_rows(TOLD):
        asked = ("marker", "brought_by", "sentence", *(() if row["chain"] else ("processes", "passes")))
        for name in asked:
            if not row[name]:
                yield _fault(TOLD, row["marker"], f"has no {name}.", "Add it.")
        yield from _sourced(TOLD, row["marker"], "it", row)


def _smokes(rows: tuple[Row, ...]) -> Iterator[Problem]:
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
    for table, name in ((STEPS, "marker"), (SMOKES, "marker"), (TOLD, "chain")):
        for marker in dict.fromkeys(row[name] for row in csv_rows(table)):
            if marker and marker not in known:
                yield _fault(table, marker, f"is not in {CHAINS}.", "Add its chain, or take the row out.")
