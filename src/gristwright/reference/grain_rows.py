"""Whether a row of the table of grains is whole: every cell that is asked for, of its kind, with a source.

Data: reference/tables/grains.csv, grains.toml; page: docs/reference.md.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeAlias

from gristwright.basics import Address, Problem
from gristwright.reference.load import priors, toml_table

FILE, WORDS = "tables/grains.csv", "tables/grains.toml"
NAME = "grain"
Row: TypeAlias = dict[str, str]


@dataclass(frozen=True)
class GrainColumn:
    """One column: the fact it belongs to, when it is asked for, what it means, and what may stand in it."""

    name: str
    fact: str
    asked: str
    meaning: str
    one_of: tuple[str, ...]
    between: tuple[float, float] | None
    empty: str  # what an empty cell means; nothing where it may not be empty


@cache
def columns() -> tuple[GrainColumn, ...]:
    """Every column of the table but the name."""
    return tuple(_column(name, entry) for name, entry in toml_table(WORDS)["column"].items())


def _column(name: str, entry: dict[str, Any]) -> GrainColumn:
    between = tuple(float(x) for x in entry["between"]) if "between" in entry else None
    one_of, empty = tuple(entry.get("one_of", ())), entry.get("empty", "")
    return GrainColumn(name, entry["fact"], entry["asked"], entry["meaning"], one_of, between, empty)  # type: ignore[arg-type]


def source_entry(name: str, fact: str) -> dict[str, str] | None:
    """Standing and source of one fact of one grain: its own, or that of every grain; None where there is none."""
    entries = toml_table(WORDS)["ground"].get(fact, {})
    entry: dict[str, str] | None = entries.get(name) or entries.get("every")
    return entry


def points(text: str) -> dict[float, float]:
    """Pairs as "85=441.7 142=463.7"; NaN where one cannot be read."""
    pairs = [pair.partition("=") for pair in text.split()]
    return {_number(left): _number(right) for left, _, right in pairs}


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def problems(rows: Sequence[Row]) -> list[Problem]:
    """Every cell that is missing, out of place or not of its kind, and every fact without a source."""
    problems = [*_headings(rows), *_twice(rows), *_usual(rows)]
    if problems:
        return problems
    for row in rows:
        cells = [problem for column in columns() for problem in _cell(row, column)]
        problems += cells or [*_sources(row), *_in_order(row), *_cooked(row, rows), *_efficiency(row)]
    return problems


def _fault(row: Row, what: str, way_out: str) -> Problem:
    return Problem(Address(FILE).to(row[NAME] or "a row without a name"), what, way_out)


def _headings(rows: Sequence[Row]) -> Iterator[Problem]:
    wanted = {NAME, *(column.name for column in columns())}
    for name in wanted - set(rows[0]):
        yield Problem(FILE, f"has no column {name}.", "Add it, with its figure for every grain.")
    for name in set(rows[0]) - wanted:
        yield Problem(FILE, f"has a column {name} that {WORDS} does not tell of.", "Say there what it is.")


def _twice(rows: Sequence[Row]) -> Iterator[Problem]:
    names = Counter(row[NAME] for row in rows)
    words = Counter(word for row in rows for word in set((row.get("words") or "").split()))
    for what, counted in (("grain", names), ("word", words)):
        for name in (name for name, times in counted.items() if times > 1):
            yield Problem(FILE, f"the {what} {name!r} stands there twice.", "Leave it with one grain.")


def _usual(rows: Sequence[Row]) -> Iterator[Problem]:
    usual = toml_table(WORDS)["usual"]
    if "malt" not in _sides(next((row for row in rows if row[NAME] == usual), {})):
        yield Problem(WORDS, f"usual = {usual!r} is no grain that is kept malted.", "Name one that is.")


def _sides(row: Row) -> list[str]:
    """What a grain is kept as: raw, malt, or no."""
    return (row.get("mashed") or "").split()


def asked(row: Row, column: GrainColumn) -> bool:
    """Whether a column is asked for of this grain."""
    sides = _sides(row)
    return {"always": True, "mashed": sides != ["no"]}.get(column.asked, column.asked in sides)


def _cell(row: Row, column: GrainColumn) -> Iterator[Problem]:
    text = row[column.name] or ""
    if not asked(row, column):
        if text:
            what = f"has {column.name} = {text}, and its mashed = {row['mashed']} asks for none."
            yield _fault(row, what, "Say in mashed that it is kept so, or leave the cell empty.")
    elif not text and not column.empty:
        yield _fault(row, f"has no {column.name}: {column.meaning}.", "Fill the column and give its source.")
    elif text and column.one_of and text not in column.one_of:
        yield _fault(row, f"{column.name} = {text} is not known.", f"Write one of: {', '.join(column.one_of)}.")
    elif text and column.between and not all(_within(part, column.between) for part in text.split()):
        low, high = column.between
        yield _fault(row, f"{column.name} = {text} is not a number in {low:g}-{high:g}.", "Correct the figure.")


def _within(text: str, between: tuple[float, float]) -> bool:
    return between[0] <= _number(text) <= between[1]


def _sources(row: Row) -> Iterator[Problem]:
    for fact in dict.fromkeys(column.fact for column in columns() if asked(row, column)):
        entry = source_entry(row[NAME], fact) or {}
        for part in ("standing", "source"):
            if not entry.get(part):
                what = f"has no {part} for {fact}."
                yield _fault(row, what, f"Add [ground.{fact}] {row[NAME]} to {WORDS}.")


def _in_order(row: Row) -> Iterator[Problem]:
    """Low below high; half open is given with both ends or not at all, and no later than the starch is done."""
    for side in sorted(set(_sides(row)) & {"raw", "malt"}):
        done, half = ([row[f"{side}_{what}_{end}_degC"] for end in ("low", "high")] for what in ("done", "half"))
        if bool(half[0]) != bool(half[1]):
            missing = f"{side}_half_{'high' if half[0] else 'low'}_degC"
            yield _fault(row, f"has no {missing} beside its other end.", "Give both ends, or neither.")
            continue
        for what, (low, high) in (("done", done), ("half", half)):
            if low and float(low) > float(high):
                yield _fault(row, f"{side}_{what}_low_degC = {low} lies above its high, {high}.", "Exchange them.")
        if half[1] and float(half[1]) > float(done[1]):
            what = f"{side}_half_high_degC = {half[1]} lies above {done[1]}, where the last of its starch is done."
            yield _fault(row, what, "Correct one of the two.")


def _cooked(row: Row, rows: Sequence[Row]) -> Iterator[Problem]:
    if "raw" not in _sides(row) or row["cooked"] == "alike":
        return
    if row["cooked"].startswith("as "):
        as_other = next((other for other in rows if other[NAME] == row["cooked"][3:]), None)
        if as_other is None or "=" not in (as_other["cooked"] or ""):
            yield _fault(row, f"cooked = {row['cooked']}: that grain was not measured.", "Name one that was.")
        return
    for name in ("cooked", "cooked_estimate"):
        pairs = points(row[name] or "")
        if any(math.isnan(x) for pair in pairs.items() for x in pair) or (name == "cooked" and len(pairs) < 2):
            yield _fault(row, f"{name} = {row[name]} cannot be read.", "Write degC=figure, with a space between two.")


def _efficiency(row: Row) -> Iterator[Problem]:
    known = [prior.name for prior in priors("grist")]
    if row["raw_efficiency"] and row["raw_efficiency"] not in known:
        yield _fault(row, f"raw_efficiency = {row['raw_efficiency']} is no prior.", "Add it to priors/grist.toml.")
