"""Which line of which file settles what a rule does not know. Data: reference/tables/law_settled_by.csv."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from gristwright.records.law import SettledBy
from gristwright.reference.load import csv_rows


@cache
def _lines() -> dict[str, SettledBy]:
    return {row["fact"]: SettledBy(row["file"], row["line"]) for row in csv_rows("tables/law_settled_by.csv")}


def facts_named() -> tuple[str, ...]:
    """Every fact that the table has a line for."""
    return tuple(_lines())


def settled_by(asks: Iterable[tuple[str, str]]) -> tuple[SettledBy, ...]:
    """The lines for facts that are not known, each with a value that would do; "fact#2" is that of the second stay."""
    return tuple(dict.fromkeys(_line(fact, value) for fact, value in asks))


def _line(fact: str, value: str) -> SettledBy:
    name, _, number = fact.partition("#")
    found = _lines()[name]
    return SettledBy(found.file, found.line.replace("{number}", f"no. {number}").replace("{}", value))
