"""A cell and a row of the tables that lay bills side by side, as views."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gristwright.documents.entries import Entry
from gristwright.quantities.shown import NOTHING


@dataclass(frozen=True)
class CellView:
    """A word or number, and under it, small, its band or its chance."""

    text: str
    under: str = ""


@dataclass(frozen=True)
class RowView:
    """A row: what it is, its unit, and a cell for each bill."""

    label: str
    unit: str
    cells: tuple[CellView, ...]


def number_cell(number: Entry | None, absent: str = NOTHING) -> CellView:
    """A number with its band under it."""
    return CellView(number.at, number.range) if number else CellView(absent)


def number_row(label: str, unit: str, numbers: Iterable[Entry | None]) -> RowView:
    """A row of numbers."""
    return RowView(label, unit, tuple(number_cell(number) for number in numbers))
