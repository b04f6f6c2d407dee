"""Cells of a certificate file changed, everything else as it was sent. See docs/desk.md."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.cells import Sheet
from gristwright.files.certificates import read_heading
from gristwright.files.csv_out import csv_text
from gristwright.files.sheets import TEXT_TYPES, read_sheets
from gristwright.files.workbook import BY_HAND, mended_workbook


@dataclass(frozen=True)
class Place:
    """A cell: sheet (empty in a text file), row and column counted from 1."""

    sheet: str
    row: int
    column: int

    @property
    def key(self) -> str:
        """The place as one word for a form."""
        return f"{self.row}:{self.column}:{self.sheet}"

    def of(self, file: str) -> Address:
        """The address of the cell in a file."""
        return Address(file, self.sheet, self.row, self.column)


@dataclass(frozen=True)
class Typed:
    """What somebody typed over a cell, and what stood there when they did, None when nobody says."""

    text: str
    seen: str | None = None

    def over(self, now: str) -> bool:
        """Whether the person changed what they saw, or what stands there now when nobody says what they saw."""
        seen = now if self.seen is None else self.seen
        return _line(self.text) not in (_line(seen), _line(now))

    def late(self, now: str) -> bool:
        """Whether something else stands there now than the person saw."""
        return self.seen is not None and _line(self.seen) != _line(now)


def _line(text: str) -> str:
    """A text as a field of one line gives it back."""
    return text.translate({ord("\r"): None, ord("\n"): None}).strip()


def place_in(address: Address, sheets: Sequence[Sheet]) -> Place | None:
    """The cell of an address: its own, or the one under or beside the heading that its path names; None for no cell."""
    if address.row and address.column:
        return Place(address.sheet, address.row, address.column)
    sheet = next((sheet for sheet in sheets if sheet.name == address.sheet), None)
    if sheet is None or not address.path or not (address.row or address.column):
        return None
    return _under(sheet, address.row or 0, address.column or 0, str(address.path[0]))


def _under(sheet: Sheet, row: int, column: int, heading: str) -> Place | None:
    """The cell of a row below a heading, or of a column beside it; None when it stands nowhere before, or twice."""
    before = [cell for line in sheet.cells for cell in line if (cell.row < row if row else cell.column < column)]
    for named in (_is_called, _plays):
        cells = {cell.column if row else cell.row for cell in before if named(cell.text, heading)}
        if cells:
            return Place(sheet.name, row or cells.pop(), column or cells.pop()) if len(cells) == 1 else None
    return None


def _is_called(text: str, heading: str) -> bool:
    return " ".join(text.split()).casefold() == " ".join(heading.split()).casefold()


def _plays(text: str, role: str) -> bool:
    """Whether a heading in the supplier's own words is the one of a lot's identity."""
    return read_heading(text).role == role


def place_of(key: str) -> Place | None:
    """The place that a form names, None when it is no place."""
    match = re.fullmatch(r"(\d{1,6}):(\d{1,4}):(.*)", key)
    return Place(match[3], int(match[1]), int(match[2])) if match else None


def sheets_of(name: str, content: bytes) -> list[Sheet]:
    """The sheets of a file. Raises Refused as the reader does."""
    with tempfile.TemporaryDirectory(prefix="gristwright-sheet-") as folder:
        path = Path(folder) / name
        path.write_bytes(content)
        return read_sheets(path, [])


def text_at(sheets: list[Sheet], place: Place) -> str | None:
    """What stands in a cell now, None when there is no such cell."""
    for sheet in sheets:
        if sheet.name == place.sheet and place.row <= len(sheet.cells) and place.column <= len(sheet.cells[0]):
            return sheet.cells[place.row - 1][place.column - 1].text
    return None


def mended(name: str, content: bytes, place: Place, text: str) -> bytes:
    """The file with one cell changed. Raises Refused where this kind of file cannot be mended here."""
    return mended_cells(name, content, sheets_of(name, content), {place: text})


def mended_cells(name: str, content: bytes, sheets: list[Sheet], texts: Mapping[Place, str]) -> bytes:
    """The file, whose `sheets` were read and so found sound, with cells changed. Raises Refused as `mended` does."""
    if name.lower().endswith(TEXT_TYPES):
        return _mended_text(name, sheets, texts)
    if content.startswith(b"PK"):
        return _mended_book(name, content, texts)
    raise Refused([Problem(Address(name), "is a file that cannot be mended here.", BY_HAND)])


def _mended_text(name: str, sheets: list[Sheet], texts: Mapping[Place, str]) -> bytes:
    """The table written anew in UTF-8 with commas, every cell in its row and column."""
    rows = [[cell.text for cell in row] for row in sheets[0].cells]
    for place, text in texts.items():
        if text_at(sheets, place) is None:
            raise Refused([Problem(place.of(name), f"has no row {place.row} with column {place.column}.", BY_HAND)])
        rows[place.row - 1][place.column - 1] = text
    return csv_text(rows).encode("utf-8")


def _mended_book(name: str, content: bytes, texts: Mapping[Place, str]) -> bytes:
    return mended_workbook(name, content, [(place.of(name), text) for place, text in texts.items()])
