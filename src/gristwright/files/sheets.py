"""XLSX, XLS, CSV and TSV into sheets of plain cells, or one clear sentence why not. See docs/certificates.md."""

from __future__ import annotations

from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files import workbook
from gristwright.files.cells import Cell, Sheet, rectangle
from gristwright.files.formulas import as_meant
from gristwright.files.opened import read_bytes
from gristwright.files.separators import separator
from gristwright.files.text_table import AS_UTF8, NO_TEXT, refuse_no_text, rows_of
from gristwright.files.workbook_child import MOST_CELLS

ZIP, OLD_OFFICE = b"PK\x03\x04", bytes.fromhex("d0cf11e0a1b11ae1")
# How other files begin that get sent in place of a table.
OTHER_KINDS = {
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"{\\rtf": "a text with formatting",
    b"<!DO": "a web page",
    b"<htm": "a web page",
}
TEXT_TYPES = (".csv", ".tsv", ".txt", ".tab")
ASK_FOR_TABLE = "Ask for the figures as XLSX or CSV, or type them into a table."


def read_sheets(path: Path, problems: list[Problem]) -> list[Sheet]:
    """The sheets of a file. Raises Refused when it is no table, empty, locked, too large or of another kind."""
    raw = read_bytes(path, "lots file")
    if not raw.strip():
        raise Refused([Problem(Address(path.name), "is empty; it holds no lot.", "Add one row for each lot.")])
    _refuse_other_kinds(raw, path)
    if path.suffix.lower() in TEXT_TYPES:
        return [text_sheet(path.name, _text(raw, path.name, problems))]
    return workbook.read_workbook(path.name, raw, raw.startswith(ZIP), problems)


def _refuse_other_kinds(raw: bytes, path: Path) -> None:
    kind = next((kind for begin, kind in OTHER_KINDS.items() if raw.startswith(begin)), None)
    if kind:
        raise Refused([Problem(Address(path.name), f"is {kind}, not a table.", ASK_FOR_TABLE)])
    if not raw.startswith((ZIP, OLD_OFFICE)) and path.suffix.lower() not in TEXT_TYPES:
        what = "is neither a workbook nor named as a text table."
        raise Refused([Problem(Address(path.name), what, "Give XLSX, or CSV with a name that ends in .csv.")])


def _text(raw: bytes, name: str, problems: list[Problem]) -> str:
    """The text in UTF-8, in UTF-16 with its mark, or else in Windows-1252 with a warning."""
    if raw.startswith((ZIP, OLD_OFFICE)):
        what = "is not a text file but looks like a workbook."
        raise Refused([Problem(Address(name), what, "Name it .xlsx, or save the sheet as CSV in UTF-8.")])
    text = _decoded(raw, name, problems)
    if text is None:
        raise Refused([Problem(Address(name), "is not a text file.", AS_UTF8)])
    refuse_no_text(text, name)
    return text


def _decoded(raw: bytes, name: str, problems: list[Problem]) -> str | None:
    for encoding in ("utf-16",) if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252"):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if encoding == "cp1252" and not NO_TEXT.search(text):
            what = "is not in UTF-8 and was read as Windows-1252."
            problems.append(
                Problem(Address(name), what, "Check special letters and degree signs, or save it in UTF-8.", True)
            )
        return text
    return None


def text_sheet(name: str, text: str) -> Sheet:
    """A text table as a sheet. Raises Refused when it cannot be split into cells or has too many."""
    text = text.lstrip("﻿")
    stated = text[4] if text[:4].lower() == "sep=" and len(text) > 4 else ""
    lines = text.split("\n", 1)[1] if stated and "\n" in text else text
    rows = [cells for _, cells in rows_of(lines, name, stated or separator(lines))]
    # Every line is filled up to the widest.
    if len(rows) * max(map(len, rows), default=0) > MOST_CELLS:
        raise Refused([Problem(Address(name), f"has more than {MOST_CELLS} cells.", "Send the table of lots alone.")])
    first = 2 if stated else 1
    grid = [
        [Cell(number, column, as_meant(cell.strip())) for column, cell in enumerate(row, start=1)]
        for number, row in enumerate([[]] * (first - 1) + rows, start=1)
    ]
    return Sheet(name, "", rectangle(grid))
