"""Cells of a certificate file changed, everything else as it was sent. See docs/desk.md."""

from __future__ import annotations

import csv
import io
import re
import tempfile
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from gristwright.basics import Address, Problem, Refused, letters
from gristwright.files.cells import Sheet
from gristwright.files.certificates import read_heading
from gristwright.files.sheets import TEXT_TYPES, read_sheets

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
BY_HAND = "Mend it in a spreadsheet program and send the file again."


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


def _column(text: str) -> int:
    number = 0
    for letter in text:
        number = number * 26 + ord(letter) - 64
    return number


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
    written = io.StringIO()
    csv.writer(written, lineterminator="\n").writerows(rows)
    return written.getvalue().encode("utf-8")


def _mended_book(name: str, content: bytes, texts: Mapping[Place, str]) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        parts = {part.filename: book.read(part) for part in book.infolist()}
    for sheet in dict.fromkeys(place.sheet for place in texts):
        part = _part_of(parts, sheet)
        if part is None:
            raise Refused([Problem(Address(name, sheet), f"has no sheet {sheet!r}.", BY_HAND)])
        xml = parts[part].decode("utf-8")
        _refuse_merged(xml, [place for place in texts if place.sheet == sheet], name)
        for place, text in texts.items():
            xml = _with_cell(xml, place, text, name) if place.sheet == sheet else xml
        parts[part] = xml.encode("utf-8")
    _forget_order(parts)
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as book:
        for file, data in parts.items():
            book.writestr(file, data)
    return written.getvalue()


def _refuse_merged(xml: str, places: Sequence[Place], name: str) -> None:
    """What is written behind a merged cell is read by nobody."""
    for first, last in re.findall(r'<mergeCell\b[^<>]*\bref=["\']([A-Z]+\d+):([A-Z]+\d+)["\']', xml):
        (top, left), (bottom, right) = _corner(first), _corner(last)
        for place in places:
            inside = top <= place.row <= bottom and left <= place.column <= right
            if inside and (place.row, place.column) != (top, left):
                what = f"is part of the merged cell {first}:{last}."
                raise Refused([Problem(place.of(name), what, f"Say that it is the value of each lot. {BY_HAND}")])


def _corner(text: str) -> tuple[int, int]:
    """Row and column of a cell by its letters and number."""
    word = text.rstrip("0123456789")
    return int(text[len(word) :]), _column(word)


def _part_of(parts: dict[str, bytes], sheet: str) -> str | None:
    """The part of the package that holds a sheet."""
    book = ElementTree.fromstring(parts.get("xl/workbook.xml", b"<none/>"))
    link = next((s.get(LINK) for s in book.iter(f"{MAIN}sheet") if s.get("name") == sheet), None)
    links = ElementTree.fromstring(parts.get("xl/_rels/workbook.xml.rels", b"<none/>"))
    target = next((one.get("Target", "") for one in links if one.get("Id") == link), None)
    if target is None:
        return None
    part = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    return part if part in parts else None


def _with_cell(xml: str, place: Place, text: str, name: str) -> str:
    """The sheet's XML with one cell replaced, or put into its row."""
    address = f"{letters(place.column)}{place.row}"
    # None of these goes on behind the beginning of another cell or row, or it would read the sheet once for each.
    cell = re.compile(rf'<c\b(?=[^<>]*\br=["\']{address}["\'])([^<>]*?)(?:/>|>(?:(?!</?c\b).)*</c>)', re.DOTALL)
    match = cell.search(xml)
    if match:
        look = re.search(r'\bs=["\']\d+["\']', match[1])
        return xml[: match.start()] + _cell(address, text, look[0] if look else "") + xml[match.end() :]
    numbered = rf'<row\b(?=[^<>]*\br=["\']{place.row}["\'])'
    row = re.search(rf"{numbered}[^<>]*?(/>|>((?:(?!</?row\b).)*)</row>)", xml, re.DOTALL)
    # A cell that does not say where it stands may be the one that is meant.
    if row is None or row[2] is None or re.search(r"<c\b(?![^<>]*\br=)", row[2]):
        raise Refused([Problem(place.of(name), f"has no cell {address} that could be mended here.", BY_HAND)])
    others = re.finditer(r'<c\b[^<>]*\br=["\']([A-Z]+)\d+', row[2])
    later = next((other.start() for other in others if _column(other[1]) > place.column), None)
    at = row.start(2) + (len(row[2]) if later is None else later)
    return xml[:at] + _cell(address, text, "") + xml[at:]


def _cell(address: str, text: str, look: str) -> str:
    """A cell as a number where the text is one, else as text."""
    start = f'<c r="{address}" {look}'.rstrip()
    if re.fullmatch(r"[+-]?\d+(\.\d+)?", text):
        return f"{start}><v>{text}</v></c>"
    return f'{start} t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'


def _forget_order(parts: dict[str, bytes]) -> None:
    """Drop the list of formulas, which may name the cell that was one; a spreadsheet program makes it anew."""
    if parts.pop("xl/calcChain.xml", None) is not None:
        for part in ("[Content_Types].xml", "xl/_rels/workbook.xml.rels"):
            parts[part] = re.sub(rb"<(?:Override|Relationship)\b(?=[^<>]*calcChain)[^<>]*/>", b"", parts[part])
