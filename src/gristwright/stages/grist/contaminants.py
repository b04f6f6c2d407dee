"""A lot held against the limits of contaminants, and against its age. See docs/certificates.md."""

from __future__ import annotations

import datetime as dt

from gristwright.basics import Problem
from gristwright.records.lot import Analysis, Lot, Material
from gristwright.reference import csv_rows
from gristwright.stages.grist.certificate_units import measured, table_value

OLDEST_CROP_YEARS = 2
NEAR = 0.5
LAW = "Local food law decides; ask what it says of malt."


def contaminant_problems(lot: Lot, material: Material) -> list[Problem]:
    """Every contaminant above an aim, above half of a limit, or above the limit; warnings all."""
    problems = []
    for name in dict.fromkeys(row["field"] for row in csv_rows("tables/certificate_limits.csv")):
        analysis = measured(lot, name)
        value = table_value(lot, analysis) if analysis else None
        if analysis is not None and value is not None:
            problems += _against(analysis, value, material.species)
    return problems


def limits_of(name: str, species: str) -> list[dict[str, str]]:
    """The limits of one contaminant: those of the species where there are any, else those of any grain."""
    rows = [row for row in csv_rows("tables/certificate_limits.csv") if row["field"] == name]
    own = [row for row in rows if row["species"] == species]
    levels = {row["level"] for row in own}
    return own + [row for row in rows if row["species"] == "any" and row["level"] not in levels]


def _against(analysis: Analysis, value: float, species: str) -> list[Problem]:
    """The worst that is to be said of one value."""
    rows = sorted(limits_of(analysis.field, species), key=lambda row: -float(row["value"]))
    for row in rows:
        limit = float(row["value"])
        if value > limit:
            return [_problem(analysis, value, row, "is above")]
        if row["level"] == "limit" and value > NEAR * limit:
            return [_problem(analysis, value, row, "is more than half of")]
    return []


def _problem(analysis: Analysis, value: float, row: dict[str, str], how: str) -> Problem:
    ground = "; ".join(text for text in (row["source"], row["standing"], row["note"]) if text)
    what = f"{value:g} {row['unit']} {how} {row['value']} {row['unit']}, {row['what']} ({ground})."
    return Problem(analysis.where, what, LAW if row["level"] == "limit" else "Ask the maltster.", warning=True)


def crop_problems(lot: Lot, on: dt.date) -> list[Problem]:
    """A harvest more than two years before the day, or after it."""
    if lot.crop is None or 0 <= on.year - lot.crop <= OLDEST_CROP_YEARS:
        return []
    if lot.crop > on.year:
        what = f"harvest {lot.crop} is still to come on {on:%d %B %Y}."
        return [Problem(lot.where.to("crop"), what, "Correct the year.", warning=True)]
    what = f"harvest {lot.crop} is more than {OLDEST_CROP_YEARS} years old on {on:%d %B %Y}."
    way_out = "Ask for a fresh analysis before relying on its enzymes."
    return [Problem(lot.where.to("crop"), what, way_out, warning=True)]
