"""Rows that the pages of a simulated mash and of a simulated wash have in common."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Band
from gristwright.documents.cells import CellView
from gristwright.quantities.shown import WITHHELD, capital, plain, signed
from gristwright.records.results import MeasureNext

# Pixels of a chart with room for it, and of one for a telephone; the page takes whichever fits.
WIDE, NARROW, HEIGHT = 680, 262, 132


@dataclass(frozen=True)
class EndView:
    """A row of low, middle and high; one that is not given says so."""

    label: str
    unit: str
    low: str
    middle: str
    high: str


def ends(label: str, unit: str, band: Band | None, decimals: int, difference: bool = False) -> EndView:
    """Low, middle and high as they are written; nothing but that it is withheld where there is no band."""
    if band is None:
        return EndView(capital(label), unit, "", WITHHELD, "")
    write = signed if difference else plain
    return EndView(capital(label), unit, *(write(value, decimals) for value in (band.low, band.middle, band.high)))


def spread(band: Band, decimals: int, factor: float = 1.0) -> CellView:
    """A middle, and low to high beneath it where they differ."""
    low, middle, high = (plain(factor * value, decimals) for value in (band.low, band.middle, band.high))
    return CellView(middle, "" if low == high else f"{low} to {high}")


@dataclass(frozen=True)
class MinuteRow:
    """The mash or the wash at one time."""

    label: str
    cells: tuple[CellView, ...]


@dataclass(frozen=True)
class CourseTable:
    """The course at round minutes or hours."""

    columns: tuple[str, ...]
    rows: tuple[MinuteRow, ...]


@dataclass(frozen=True)
class NextView:
    """What to measure next, and what it brings."""

    meaning: str
    narrows: str
    by: str
    unit: str
    how: str


def next_views(lines: Sequence[MeasureNext]) -> tuple[NextView, ...]:
    """What to measure next, as a page shows it."""
    return tuple(NextView(m.meaning, m.narrows, plain(m.by, 1), m.unit, m.how) for m in lines)
