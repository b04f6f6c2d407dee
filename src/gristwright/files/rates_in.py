"""What a litre of pure alcohol is worth by age: the user's own rates from a CSV. See docs/stock.md."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.opened import read_bytes
from gristwright.files.reading import Reading
from gristwright.files.text_table import rows_of, text_of
from gristwright.files.texts import text_problems
from gristwright.quantities.shown import counted
from gristwright.quantities.units import parse_number
from gristwright.records.stock import Rates

COLUMNS = ("from_years", "value_per_lpa", "currency")
OLDEST, MOST_ROWS = 100, 1_000
# In the smallest coin of any currency a litre of pure alcohol is worth less.
MOST_WORTH = 1e9
WAY_OUT = f"Give the columns {', '.join(COLUMNS)}, a row for each age from which a rate holds."


def read_rates(path: Path) -> Reading[Rates]:
    """Rates from a CSV of from_years, value_per_lpa and currency; every fault is in the reading."""
    problems: list[Problem] = []
    try:
        rows = _rows(path)
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    pairs = sorted(pair for number, row in rows if (pair := _pair(path, number, row, problems)))
    for number, row in rows:
        problems += text_problems(row["currency"], Address(path.name, row=number).to("currency"))
    currencies = sorted({row["currency"] for _, row in rows})
    problems += _together(path, [age for age, _ in pairs], currencies)
    if problems:
        return Reading(None, (path,), tuple(problems))
    worth = Rates(currencies[0], tuple(age for age, _ in pairs), tuple(value for _, value in pairs))
    return Reading(worth, (path,), ())


def _rows(path: Path) -> list[tuple[int, dict[str, str]]]:
    """Number and cells by heading of every filled row. Raises Refused where there is no table of rates."""
    text = text_of(read_bytes(path, "table of rates"), path.name)
    filled = [(number, cells) for number, cells in rows_of(text, path.name) if cells]
    heads = [head.strip() for head in filled[0][1]] if filled else []
    if len(filled) < 2 or any(column not in heads for column in COLUMNS):
        raise Refused([Problem(Address(path.name), "is not a table of rates.", WAY_OUT)])
    if len(filled) > MOST_ROWS:
        what = f"has {len(filled) - 1} rows; ages from 0 to {OLDEST} have one each."
        raise Refused([Problem(Address(path.name), what, WAY_OUT)])
    nothing = dict.fromkeys(COLUMNS, "")
    return [(number, nothing | dict(zip(heads, map(str.strip, cells), strict=False))) for number, cells in filled[1:]]


def _pair(path: Path, number: int, row: dict[str, str], problems: list[Problem]) -> tuple[int, float] | None:
    """Age and worth of a row, or None after its faults have been noted."""
    pair = []
    for column in COLUMNS[:2]:
        try:
            pair.append(parse_number(row[column]))
        except Refused as refused:
            where = Address(path.name, row=number).to(column)
            problems += [Problem(where, problem.what, problem.way_out) for problem in refused.problems]
    if len(pair) < 2:
        return None
    age, worth = pair
    if age != int(age) or not 0.0 <= age <= OLDEST:
        what = f"{age:g} years is no whole age from 0 to {OLDEST}."
        problems.append(Problem(Address(path.name, row=number).to("from_years"), what, "Give completed years."))
    if not 0.0 <= worth <= MOST_WORTH:
        what = f"{worth:g} a litre is {'below 0' if worth < 0.0 else f'above {MOST_WORTH:g}'}."
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
