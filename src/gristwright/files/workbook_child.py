"""The program that opens a workbook: whatever a file from outside breaks or swells, this process bears it.

`workbook` starts it by its path, and it imports nothing of ours but the limits. Standard input is the file, the one
argument a JSON object (see `main`); one JSON object goes out. See docs/certificates.md.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import math
import re
import sys
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any
from xml.parsers import expat

MOST_MEMORY_BYTES = 1_000_000_000
MOST_UNPACKED = 20_000_000
MOST_PARTS = 500
MOST_CELLS = 200_000
MOST_SHEETS = 50
# What a cell can hold in the programs that write workbooks.
MOST_LETTERS = 32_767
NOT_COMPUTED = "holds a formula whose value was never computed"
NO_FIGURE = "is no figure that can be counted with"
LOCKED = ("is protected by a password.", "Take the password off and save it again.")
SAVE_AGAIN = "Open it, save it as XLSX and send that."
SEND_ALONE = "Send the sheet with the lots alone."
COPY_OUT = "Copy the rows that count into a new XLSX or CSV and send that."
AS_CSV = "Save the sheet as CSV and send that."
DAMAGED = ("is damaged or not a workbook.", SAVE_AGAIN)
BROKE = (f"is damaged, or takes more than {MOST_MEMORY_BYTES // 10**9} GB of memory to read.", COPY_OUT)
TOO_MANY = (f"has a sheet of more than {MOST_CELLS} cells.", SEND_ALONE)
UNLIMITED = ("cannot be read safely: this system cannot limit the memory that reading takes.", AS_CSV)
BOOK, LINKS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
STYLES, STRINGS = "xl/styles.xml", "xl/sharedstrings.xml"
_ADDRESS = re.compile(r"([A-Za-z]{1,3})([0-9]{1,7})")
_AREA = re.compile(rf"{_ADDRESS.pattern}(?::{_ADDRESS.pattern})?")
# The two formats with a per cent sign that a workbook need not write out: 0% and 0.00%.
_PERCENTS = ("9", "10")
_IN_CELL = frozenset(("c", "f", "v", "is", "t"))

Parts = dict[str, bytes]
Said = Mapping[str, str]
Area = tuple[int, int, int, int]


class Unfit(Exception):
    """The file cannot be used: what is wrong, and the way out."""


@dataclass
class Marks:
    """What the values alone do not show of one sheet, by (row, column)."""

    formulas: set[tuple[int, int]] = field(default_factory=set)
    percent: set[tuple[int, int]] = field(default_factory=set)
    merged: list[Area] = field(default_factory=list)
    recomputed: bool = False


def main() -> None:
    """Read the file under the limits asked for: path (where libraries are), zipped, memory, seconds, output."""
    asked = json.loads(sys.argv[1])
    sys.path[:] = asked["path"]
    from gristwright.guard.limits import Unlimited, keep_within

    try:
        keep_within(asked["memory"], asked["seconds"], asked["output"])
        answer = json.dumps(read(sys.stdin.buffer.read(), asked["zipped"]), allow_nan=False)
        if len(answer) >= asked["output"]:
            raise Unfit(f"holds more than {asked['output'] / 1e6:g} MB of text.", COPY_OUT)
    except Unfit as unfit:
        answer = json.dumps({"fault": unfit.args})
    except Unlimited:
        answer = json.dumps({"fault": UNLIMITED})
    except MemoryError:
        answer = json.dumps({"fault": BROKE})
    sys.stdout.write(answer)


def read(raw: bytes, zipped: bool) -> dict[str, Any]:
    """The visible sheets with their filled cells, the names of hidden ones, the count of all. Raises Unfit."""
    import python_calamine as calamine

    marks = marks_of(parts_of(raw)) if zipped else {}
    try:
        book = calamine.load_workbook(io.BytesIO(raw))
        tables = [sheet for sheet in book.sheets_metadata if sheet.typ == calamine.SheetTypeEnum.WorkSheet]
        seen = [sheet.name for sheet in tables[:MOST_SHEETS] if sheet.visible == calamine.SheetVisibleEnum.Visible]
        hidden = [sheet.name for sheet in tables[:MOST_SHEETS] if sheet.name not in seen]
        sheets = [sheet_of(name, book.get_sheet_by_name(name), marks.get(name)) for name in seen]
    except calamine.PasswordError:
        raise Unfit(*LOCKED) from None
    except (calamine.CalamineError, ValueError, OverflowError, OSError):
        raise Unfit(*DAMAGED) from None
    return {"sheets": sheets, "hidden": hidden, "count": len(tables)}


# The package: measured, and looked through for what the values do not show.


def parts_of(raw: bytes) -> Parts:
    """Every part of an XLSX by its name in lower case, unpacked within limits. Raises Unfit."""
    return {name.lower(): data for name, data in unpacked(raw).items()}


def unpacked(raw: bytes) -> Parts:
    """Every part of an XLSX by its name, within limits, no two alike but for capitals. Raises Unfit."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as package:
            listed = package.infolist()
            if len(listed) > MOST_PARTS or sum(part.file_size for part in listed) > MOST_UNPACKED:
                raise Unfit(f"unpacks to more than {MOST_UNPACKED // 1_000_000} MB.", SEND_ALONE)
            parts = {part.filename: package.read(part) for part in listed}
    except (zipfile.BadZipFile, OSError, ValueError, EOFError, NotImplementedError, RuntimeError) as error:
        locked = isinstance(error, RuntimeError) and "password" in str(error)
        raise Unfit(*(LOCKED if locked else DAMAGED)) from None
    except zipfile.zlib.error:  # type: ignore[attr-defined]
        raise Unfit(*DAMAGED) from None
    names = {name.lower() for name in parts}
    if BOOK not in names:
        raise Unfit("is a zip file, but no XLSX workbook.", SAVE_AGAIN)
    if len(names) < len(listed):
        raise Unfit(*DAMAGED)
    if any(b"<!DOCTYPE" in data or b"<!ENTITY" in data for data in parts.values()):
        raise Unfit("declares entities, which no workbook needs.", SAVE_AGAIN)
    return parts


def marks_of(parts: Parts) -> dict[str, Marks]:
    """Formulas, per cent formats and merged ranges of every sheet, by its name. Raises Unfit for one too large."""
    book, links, styles = WorkbookParts(), Links(), Styles()
    follow(parts[BOOK], book)
    follow(parts.get(LINKS, b""), links)
    follow(parts.get(STYLES, b"<none/>"), styles)
    follow(parts.get(STRINGS, b"<none/>"), Reader())
    by_sheet = {}
    for name, link in book.sheets.items():
        scan = SheetScan(frozenset(styles.percents), book.recomputed)
        follow(parts[part_name(parts, links.targets.get(link, ""))], scan)
        by_sheet[name] = scan.marks
    return by_sheet


def part_name(parts: Mapping[str, object], target: str) -> str:
    """The part, by its name in lower case, that a link of the workbook leads to. Raises Unfit."""
    name = target.lower().replace("\\", "/")
    name = name.lstrip("/") if name.startswith(("/", "xl/")) else f"xl/{name}"
    if name not in parts:
        raise Unfit(*DAMAGED)
    return name


class Reader:
    """Hears of the elements of one part as they go by."""

    most_elements = 10 * MOST_CELLS

    def start(self, tag: str, said: Said) -> None:
        """An element begins; its tag stands without the namespace."""


def follow(data: bytes, reader: Reader) -> None:
    """Read one part to its end. Raises Unfit when it is no XML, has far too many elements or a document type."""
    parser = expat.ParserCreate(namespace_separator=" ")
    count = 0

    def start(name: str, said: Said) -> None:
        nonlocal count
        count += 1
        if count > reader.most_elements:
            raise Unfit(*TOO_MANY)
        reader.start(_local(name), said)

    def refuse(*_: object) -> None:
        raise Unfit("declares entities, which no workbook needs.", SAVE_AGAIN)

    parser.StartElementHandler, parser.StartDoctypeDeclHandler = start, refuse
    try:
        parser.Parse(data, True)
    except expat.ExpatError:
        raise Unfit(*DAMAGED) from None


def _local(name: str) -> str:
    return name[name.rfind(" ") + 1 :]


class WorkbookParts(Reader):
    """The sheets by name with the link of each, and whether all formulas are computed anew on opening."""

    most_elements = MOST_CELLS

    def __init__(self) -> None:
        self.sheets: dict[str, str] = {}
        self.recomputed = False

    def start(self, tag: str, said: Said) -> None:
        """Note a sheet, or how formulas are computed."""
        own = {_local(name): value for name, value in said.items()}
        if tag == "sheet":
            self.sheets[own.get("name", "")] = own.get("id", "")
        elif tag == "calcPr":
            self.recomputed = own.get("fullCalcOnLoad", "") in ("1", "true")


class Links(Reader):
    """Where the links of a workbook lead."""

    most_elements = MOST_CELLS

    def __init__(self) -> None:
        self.targets: dict[str, str] = {}

    def start(self, tag: str, said: Said) -> None:
        """Note a link."""
        if tag == "Relationship":
            self.targets[said.get("Id", "")] = said.get("Target", "")


class Styles(Reader):
    """The styles of cells whose number format has a per cent sign."""

    def __init__(self) -> None:
        self.formats = set(_PERCENTS)
        self.percents: set[str] = set()
        self.inside, self.count = False, 0

    def start(self, tag: str, said: Said) -> None:
        """Note a format or a style."""
        if tag == "numFmt":
            note = self.formats.add if "%" in said.get("formatCode", "") else self.formats.discard
            note(said.get("numFmtId", ""))
        elif tag in ("cellXfs", "cellStyleXfs"):
            self.inside = tag == "cellXfs"
        elif tag == "xf" and self.inside:
            if said.get("numFmtId", "") in self.formats:
                self.percents.add(str(self.count))
            self.count += 1


class SheetScan(Reader):
    """Size and marks of one sheet. A cell that does not say where it stands stands after the one before it."""

    def __init__(self, percents: frozenset[str], recomputed: bool) -> None:
        self.marks = Marks(recomputed=recomputed)
        self.percents = percents
        self.row = self.column = self.bottom = self.right = self.cells = self.merged = 0
        self.inside = False

    def start(self, tag: str, said: Said) -> None:
        """Note a row, a cell, its formula, a merged range."""
        if tag == "c":
            self._cell(said)
        elif tag == "f" and self.inside:
            self.marks.formulas.add((self.row, self.column))
        elif tag not in _IN_CELL:
            # What is called f further on is the rule of a format or a list, and none of a cell.
            self.inside = False
        if tag == "row":
            self.row, self.column = number_of(said.get("r") or str(self.row + 1)), 0
        elif tag == "mergeCell":
            self._merge(said.get("ref", ""))

    def _cell(self, said: Said) -> None:
        where = said.get("r")
        self.row, self.column = place_of(where) if where else (self.row, self.column + 1)
        self.inside, self.cells = True, self.cells + 1
        self.bottom, self.right = max(self.bottom, self.row), max(self.right, self.column)
        if self.cells > MOST_CELLS or self.bottom * self.right > MOST_CELLS:
            raise Unfit(*TOO_MANY)
        if said.get("s", "0") in self.percents:
            self.marks.percent.add((self.row, self.column))

    def _merge(self, text: str) -> None:
        self.marks.merged.append(area_of(text))
        self.merged = measured(self.merged, self.marks.merged[-1])


def area_of(text: str) -> Area:
    """First row and column and last ones of a range such as B7:C9. Raises Unfit."""
    match = _AREA.fullmatch(text)
    if not match:
        raise Unfit(*DAMAGED)
    first = place_of(match[1] + match[2])
    return (*first, *(place_of(match[3] + match[4]) if match[3] else first))


def place_of(text: str) -> tuple[int, int]:
    """Row and column of an address such as B7. Raises Unfit."""
    match = _ADDRESS.fullmatch(text)
    if not match:
        raise Unfit(*DAMAGED)
    return int(match[2]), _column(match[1])


@cache
def _column(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


def number_of(text: str) -> int:
    """The number of a row. Raises Unfit."""
    if not re.fullmatch(r"[0-9]{1,7}", text):
        raise Unfit(*DAMAGED)
    return int(text)


def measured(before: int, area: Area) -> int:
    """The merged cells with those of one more range. Raises Unfit when they are too many."""
    top, left, bottom, right = area
    total = before + max(0, bottom - top + 1) * max(0, right - left + 1)
    if total > MOST_CELLS:
        raise Unfit(f"merges more than {MOST_CELLS} cells.", SEND_ALONE)
    return total


# The values.


def sheet_of(name: str, sheet: Any, marks: Marks | None) -> dict[str, Any]:
    """One sheet: name, height, width, merged ranges, and row, column, text, number, unit and fault of filled cells."""
    if sheet.total_height * sheet.total_width > MOST_CELLS:
        raise Unfit(*TOO_MANY)
    own = marks or Marks(merged=_old_merges(sheet))
    values = sheet.to_python(skip_empty_area=False)
    # A formula without a value may lie beyond the last value that was stored.
    height = max([len(values), *(row for row, _ in own.formulas)])
    width = max([len(values[0]) if values else 0, *(column for _, column in own.formulas)])
    cells = list(_filled(values, height, width, own))
    return {"name": name, "height": height, "width": width, "merged": own.merged, "cells": cells}


def _old_merges(sheet: Any) -> list[Area]:
    areas = [(a + 1, b + 1, c + 1, d + 1) for (a, b), (c, d) in sheet.merged_cell_ranges or ()]
    total = 0
    for area in areas:
        total = measured(total, area)
    return areas


def _filled(values: list[list[Any]], height: int, width: int, marks: Marks) -> Iterator[tuple[Any, ...]]:
    for row in range(1, height + 1):
        line = values[row - 1] if row <= len(values) else []
        for column in range(1, width + 1):
            value = line[column - 1] if column <= len(line) else ""
            cell_value = _cell(value, (row, column), marks)
            if cell_value:
                yield row, column, *cell_value


def _cell(value: Any, place: tuple[int, int], marks: Marks) -> tuple[str, float | None, str, str] | None:
    """Text, number, unit and fault of a cell; None for an empty one."""
    if place in marks.formulas and (value in ("", None) or (marks.recomputed and value == 0)):
        return "formula", None, "", NOT_COMPUTED
    if isinstance(value, bool):
        return "true" if value else "false", None, "", ""
    if isinstance(value, int | float):
        return _figure(float(value), place in marks.percent)
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        shown = value.date() if isinstance(value, dt.datetime) else value
        return str(shown), None, "", f"'{shown}' is a date; a figure such as 4.5 may have been turned into one"
    text = str(value or "").strip()
    if len(text) > MOST_LETTERS:
        raise Unfit(f"holds a cell of more than {MOST_LETTERS} letters.", COPY_OUT)
    return (text, None, "", "") if text else None


def _figure(value: float, percent: bool) -> tuple[str, float | None, str, str]:
    """A number as a person sees it: a per cent format shows a hundred times what is stored."""
    value = round(value * 100.0, 10) if percent else value
    shown = f"{value:.12g}"
    if not math.isfinite(value):
        return shown, None, "", f"'{shown}' {NO_FIGURE}"
    return shown, float(shown), "%" if percent else "", ""


if __name__ == "__main__":
    main()
