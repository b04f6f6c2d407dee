"""What a litre of pure alcohol is worth by age: the user's own rates from a CSV. See docs/stock.md."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.reading import Reading
from gristwright.files.separators import separator
from gristwright.files.texts import text_problems
from gristwright.files.toml_in import read_bytes
from gristwright.quantities.shown import counted
from gristwright.quantities.units import parse_number
from gristwright.records.stock import Rates

COLUMNS = ("from_years", "value_per_lpa", "currency")
WAY_OUT = f"Give the columns {', '.join(COLUMNS)}, a row for each age from which a rate holds."


def read_rates(path: Path) -> Reading[Rates]:
    """Rates from a CSV of from_years, value_per_lpa and currency; every fault is in the reading."""
    try:
        text = read_bytes(path, "table of rates").decode("utf-8-sig")
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    except UnicodeDecodeError:
        return Reading(
            None, (path,), (Problem(Address(path.name), "is not text in UTF-8.", "Save it as CSV in UTF-8."),)
        )
    rows = list(csv.DictReader(io.StringIO(text, newline=""), delimiter=separator(text)))
    if not rows or any(column not in rows[0] for column in COLUMNS):
        return Reading(None, (path,), (Problem(Address(path.name), "is not a table of rates.", WAY_OUT),))
    problems: list[Problem] = []
    pairs = sorted(pair for number, row in enumerate(rows, 2) if (pair := _pair(path, number, row, problems)))
    for number, row in enumerate(rows, 2):
        problems += text_problems(row["currency"] or "", Address(path.name, row=number).to("currency"))
    problems += _together(path, [age for age, _ in pairs], sorted({(row["currency"] or "").strip() for row in rows}))
    if problems:
        return Reading(None, (path,), tuple(problems))
    worth = Rates(rows[0]["currency"].strip(), tuple(age for age, _ in pairs), tuple(value for _, value in pairs))
    return Reading(worth, (path,), ())


def _pair(path: Path, number: int, row: dict[str, str], problems: list[Problem]) -> tuple[int, float] | None:
    """Age and worth of a row, or None after its faults have been noted."""
    pair = []
    for column in COLUMNS[:2]:
        try:
            pair.append(parse_number(row[column] or ""))
        except Refused as refused:
            where = Address(path.name, row=number).to(column)
            problems += [Problem(where, problem.what, problem.way_out) for problem in refused.problems]
    if len(pair) < 2:
        return None
    age, worth = pair
    if age != int(age) or not 0.0 <= age <= 100.0:
        what = f"{age:g} years is no whole age from 0 to 100."
        problems.append(Problem(Address(path.name, row=number).to("from_years"), what, "Give completed years."))
    if worth < 0.0:
        what = f"{worth:g} a litre is below 0."
        problems.append(
            Problem(Address(path.name, row=number).to("value_per_lpa"), what, "Give what a litre is worth.")
        )
    return int(age), worth


def _together(path: Path, ages: Sequence[int], currencies: Sequence[str]) -> list[Problem]:
    """An age with two rates, and more than one currency or none."""
    problems = [
        Problem(
            Address(path.name).to("from_years"),
            f"{counted(age, 'year')} has {ages.count(age)} rates.",
            "Keep one row for an age.",
        )
        for age in sorted(set(ages))
        if ages.count(age) > 1
    ]
    if len(currencies) != 1 or not currencies[0]:
        what = f"the currencies are {', '.join(repr(name) for name in currencies)}."
        problems.append(Problem(Address(path.name).to("currency"), what, "Give the same one in every row."))
    return problems
