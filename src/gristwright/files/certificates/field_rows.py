"""The fields of a certificate, read whole: one that is only half there is refused by name. See docs/certificates.md.

Data: reference/tables/certificate_fields.csv, certificate_headings.csv, certificate_units.csv, certificate_limits.csv,
laboratory_spread.csv.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from gristwright.basics import Address, Problem, Refused
from gristwright.quantities.units import find_unit
from gristwright.reference import csv_rows
from gristwright.stages.grist.certificate_units import Field, factor, fields

FIELDS, HEADINGS = "tables/certificate_fields.csv", "tables/certificate_headings.csv"
UNITS, LIMITS, SPREAD = "tables/certificate_units.csv", "tables/certificate_limits.csv", "tables/laboratory_spread.csv"
WORDS = ("title", "short", "table_unit", "units")


def field_problems(others: Collection[str]) -> list[Problem]:
    """Every field that is only half there, by its name and what it lacks.

    `others` are the words that a heading may stand for besides a field.
    """
    problems = [problem for row in csv_rows(FIELDS) for problem in _words(row)]
    return problems or [*(one for field in fields().values() for one in _field(field)), *_strangers(others)]


def _fault(table: str, name: str, what: str, way_out: str) -> Problem:
    return Problem(Address(table).to(name), what, way_out)


def _words(row: dict[str, str]) -> Iterator[Problem]:
    for name in WORDS:
        if not row[name]:
            yield _fault(FIELDS, row["field"], f"has no {name}.", "Add it.")
    if not _number(row["least"]) < _number(row["most"]):
        yield _fault(FIELDS, row["field"], "lacks a bound, or least is not below most.", "Give what nothing passes.")


def _number(text: str | None) -> float:
    try:
        return float(text or "nan")
    except ValueError:
        return math.nan


def _field(field: Field) -> Iterator[Problem]:
    """A heading that means it, and a way from every unit to that of the types table."""
    if field.name not in {row["field"] for row in csv_rows(HEADINGS)}:
        yield _fault(HEADINGS, field.name, "has no heading.", "Add the words that certificates print for it.")
    for unit in field.units:
        if factor(field.table_unit, unit) is None and not _of_kind(unit, field.kind):
            what = f"is in {unit}, and nothing says what that is in {field.table_unit}."
            yield _fault(UNITS, field.name, what, "Add the unit with its factor and its spellings.")


def _of_kind(unit: str, kind: str) -> bool:
    """Whether a unit is one of a kind that is converted otherwise than by a factor."""
    if not kind:
        return False
    try:
        return find_unit(unit, kind).name in (unit, f"{kind}_pct")
    except Refused:
        return False


def _strangers(others: Collection[str]) -> Iterator[Problem]:
    """Rows of the other tables for a field that is none."""
    for table in (HEADINGS, LIMITS, SPREAD):
        for name in dict.fromkeys(row["field"] for row in csv_rows(table)):
            if name not in fields() and (table != HEADINGS or name not in others):
                yield _fault(table, name, f"is no field of {FIELDS}.", "Add the field, or correct the word.")
