"""One plain grid of cells, whatever the file was: text as printed, number, and the address a person finds it by."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gristwright.basics import Address
from gristwright.reference.typeface import composed


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell. `fault` says why it cannot be used; `copied` marks the rest of a merged cell; `unit` of a % format."""

    row: int
    column: int
    text: str = ""
    number: float | None = None
    unit: str = ""
    fault: str = ""
    copied: bool = False

    @property
    def filled(self) -> bool:
        """Whether anything stands in it."""
        return bool(self.text or self.fault)


Grid = tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class Sheet:
    """A sheet as a full rectangle of cells, rows and columns counted from 1; `name` is empty for a text file."""

    file: str
    name: str
    cells: Grid

    @property
    def where(self) -> Address:
        """The address of the sheet."""
        return Address(self.file, self.name)

    def place(self, cell: Cell) -> Address:
        """The address of a cell."""
        return Address(self.file, self.name, cell.row, cell.column)


def rectangle(rows: list[list[Cell]]) -> Grid:
    """The rows filled up with empty cells to one width, accents in their texts joined to the letters."""
    width = max((len(row) for row in rows), default=0)
    return tuple(
        tuple(_kept(cell) for cell in row) + tuple(Cell(number, column) for column in range(len(row) + 1, width + 1))
        for number, row in enumerate(rows, start=1)
    )


def _kept(cell: Cell) -> Cell:
    text = composed(cell.text)
    return cell if text == cell.text else replace(cell, text=text)


def turned(grid: Grid) -> Grid:
    """Rows and columns exchanged; every cell keeps its address."""
    return tuple(zip(*grid, strict=True))


def spread(rows: list[list[Cell]], merged: list[tuple[int, int, int, int]]) -> None:
    """Copy the first cell of each merged range (first row, first column, last row, last column) over the range."""
    for top, left, bottom, right in merged:
        if top > len(rows) or left > len(rows[top - 1]):
            continue
        first = rows[top - 1][left - 1]
        for row in range(top, min(bottom, len(rows)) + 1):
            for column in range(left, min(right, len(rows[row - 1])) + 1):
                if (row, column) != (top, left):
                    rows[row - 1][column - 1] = replace(first, row=row, column=column, copied=True)
