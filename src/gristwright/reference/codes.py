"""Codes of countries and currencies to choose from. Data: reference/tables/places.csv, currencies.csv."""

from __future__ import annotations

from functools import cache

from gristwright.reference.load import csv_rows


@cache
def places() -> tuple[tuple[str, str], ...]:
    """Code and name of every country and part of the United Kingdom, by name."""
    rows = ((row["code"], row["name"]) for row in csv_rows("tables/places.csv"))
    return tuple(sorted(rows, key=lambda row: row[1]))


@cache
def currencies() -> tuple[str, ...]:
    """The code of every currency."""
    return tuple(row["code"] for row in csv_rows("tables/currencies.csv"))
