"""The program that changes cells of a workbook: found by an XML parser, every other byte of the sheet as it was.

`workbook` starts it as it does `workbook_child`, under the same limits and on a package measured in the same way.
Standard input is one line of JSON, the cells, and the file behind it; the file goes out, or a JSON object with the
faults. See docs/certificates.md.
"""

from __future__ import annotations

import io
import json
import re
import sys
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat
from xml.sax.saxutils import escape

from gristwright.files import workbook_child as child
from gristwright.guard.limits import Unlimited, keep_within

BY_HAND = "Mend it in a spreadsheet program and send the file again."
ORDER = "calcchain.xml"
TYPES = "[content_types].xml"
# From the name of an element to the end of its tag: a value in quotes may hold anything but its quote.
_TAG = re.compile(rb"""<([^\s/>]++)(?:[^"'>]++|"[^"]*+"|'[^']*+')*+>""")
# Shorter than what a workbook keeps of a number, and no 007, which is a name.
_NUMBER = re.compile(r"[+-]?(0|[1-9][0-9]{0,11})(\.[0-9]{1,11})?")
_OURS = (None, "utf-8", "us-ascii")

Spot = tuple[int, int]
Cut = tuple[int, int, bytes]
Fault = tuple[str, int | None, int | None, str, str]


class Unmended(Exception):
    """Cells that cannot be changed here: sheet, row, column, what is wrong and the way out of each."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(faults)
        self.faults = faults


def main(asked: Mapping[str, Any]) -> None:
    """Change the cells under the limits asked for: memory, seconds, output."""
    try:
        keep_within(asked["memory"], asked["seconds"], asked["output"])
        line, _, raw = sys.stdin.buffer.read().partition(b"\n")
        answer = mended(raw, [(str(sheet), row, column, str(text)) for sheet, row, column, text in json.loads(line)])
    except child.Unfit as unfit:
        answer = json.dumps({"fault": unfit.args}).encode()
    except Unmended as unmended:
        answer = json.dumps({"faults": unmended.faults}).encode()
    except Unlimited:
        answer = json.dumps({"fault": child.UNLIMITED}).encode()
    except MemoryError:
        answer = json.dumps({"fault": child.BROKE}).encode()
    sys.stdout.buffer.write(answer)


def mended(raw: bytes, texts: list[tuple[str, int, int, str]]) -> bytes:
    """The workbook with texts put into cells: sheet, row, column, text. Raises Unfit or Unmended."""
    parts = child.unpacked(raw)
    names = {name.lower(): name for name in parts}
    book, links = child.WorkbookParts(), child.Links()
    child.follow(parts[names[child.BOOK]], book)
    child.follow(parts[names[child.LINKS]] if child.LINKS in names else b"<none/>", links)
    faults: list[Fault] = []
    for sheet in dict.fromkeys(place[0] for place in texts):
        if sheet not in book.sheets:
            faults.append((sheet, None, None, f"has no sheet {sheet!r}.", BY_HAND))
            continue
        part = names[child.part_name(names, links.targets.get(book.sheets[sheet], ""))]
        wanted = {(row, column): text for its, row, column, text in texts if its == sheet}
        parts[part], wrong = with_cells(parts[part], wanted)
        faults += [(sheet, *spot, what, way_out) for spot, what, way_out in wrong]
    if faults:
        raise Unmended(faults)
    _forget_order(parts, names)
    return _packed(parts)


def _packed(parts: child.Parts) -> bytes:
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name, data)
    return written.getvalue()


# One sheet


@dataclass
class SheetSpots:
    """What one sheet says of the cells that are wanted, in bytes from its beginning."""

    cells: dict[Spot, tuple[int, int, str]] = field(default_factory=dict)
    twice: set[Spot] = field(default_factory=set)
    gaps: dict[Spot, int] = field(default_factory=dict)
    merged: list[child.Area] = field(default_factory=list)
    # Formulas that are written once for several cells: which, and where it is written.
    groups: dict[str, set[Spot]] = field(default_factory=dict)
    masters: dict[Spot, str] = field(default_factory=dict)
    arrays: set[Spot] = field(default_factory=set)
    prefixes: dict[int, str] = field(default_factory=dict)


def with_cells(xml: bytes, wanted: Mapping[Spot, str]) -> tuple[bytes, list[tuple[Spot, str, str]]]:
    """The XML of a sheet with texts in place of cells, and what is wrong with which of them. Raises Unfit."""
    search = _Search(xml, wanted)
    search.run()
    faults = [(spot, *fault) for spot, text in wanted.items() if (fault := _fault(search.found, spot, text, wanted))]
    if faults:
        return xml, faults
    # Several that are put into one gap stand there in order; what is put before a cell comes before it.
    cuts = sorted(((_cut(search.found, spot, wanted[spot])) for spot in sorted(wanted)), key=lambda cut: cut[:2])
    made = _edited(xml, cuts)
    # A letter that XML cannot hold would make the whole file unreadable.
    child.follow(made, child.Reader())
    return made, []


def _fault(found: SheetSpots, spot: Spot, text: str, wanted: Mapping[Spot, str]) -> tuple[str, str] | None:
    for area in found.merged:
        top, left, bottom, right = area
        if top <= spot[0] <= bottom and left <= spot[1] <= right and spot != (top, left):
            what = f"is part of the merged cell {_address((top, left))}:{_address((bottom, right))}."
            return what, f"Say that it is the value of each lot. {BY_HAND}"
    if len(text) > child.MOST_LETTERS:
        return f"cannot hold {len(text)} letters; a cell holds {child.MOST_LETTERS}.", "Shorten it."
    if spot in found.twice or (spot not in found.cells and spot not in found.gaps):
        return f"has no cell {_address(spot)} that could be mended here.", BY_HAND
    others = found.groups.get(found.masters.get(spot, ""), set()) - set(wanted)
    if others or spot in found.arrays:
        return "holds a formula that other cells share.", BY_HAND
    return None


def _address(spot: Spot) -> str:
    text, column = "", spot[1]
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return f"{text}{spot[0]}"


def _cut(found: SheetSpots, spot: Spot, text: str) -> tuple[int, int, bytes]:
    start, end, look = found.cells.get(spot) or (found.gaps[spot], found.gaps[spot], "")
    return start, end, _cell(found.prefixes[spot[0]], _address(spot), text, look).encode()


def _cell(prefix: str, address: str, text: str, look: str) -> str:
    """A cell as a number where the text is one, else as text, which no program takes for a formula."""
    start = f'<{prefix}c r="{address}"' + (f' s="{look}"' if look.isdecimal() else "")
    if _NUMBER.fullmatch(text):
        return f"{start}><{prefix}v>{text}</{prefix}v></{prefix}c>"
    inside = f'<{prefix}t xml:space="preserve">{escape(text)}</{prefix}t>'
    return f'{start} t="inlineStr"><{prefix}is>{inside}</{prefix}is></{prefix}c>'


def _edited(xml: bytes, cuts: list[Cut]) -> bytes:
    """The bytes with pieces replaced; the pieces come in order and do not overlap."""
    made, at = [], 0
    for start, end, piece in cuts:
        made += [xml[at:start], piece]
        at = end
    return b"".join([*made, xml[at:]])


class _Elements:
    """Hears of each element of a part as it begins and ends, with the offset of its first byte."""

    def __init__(self, xml: bytes) -> None:
        self.xml, self.count = xml, 0
        self.open: list[tuple[str, int, child.Said]] = []
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler, self.parser.EndElementHandler = self._start, self._end
        self.parser.XmlDeclHandler = self._declared

    def run(self) -> None:
        """Go through the part once. Raises Unfit."""
        try:
            if self.xml[:2] in (b"\xff\xfe", b"\xfe\xff"):
                raise child.Unfit("is not written in UTF-8.", BY_HAND)
            self.parser.Parse(self.xml, True)
        except expat.ExpatError:
            raise child.Unfit(*child.DAMAGED) from None

    def _declared(self, _: str, encoding: str | None, __: int) -> None:
        if (encoding.lower() if encoding else None) not in _OURS:
            raise child.Unfit("is not written in UTF-8.", BY_HAND)

    def _start(self, name: str, said: child.Said) -> None:
        self.count += 1
        if self.count > child.Reader.most_elements:
            raise child.Unfit(*child.TOO_MANY)
        self.open.append((name[name.rfind(" ") + 1 :], self.parser.CurrentByteIndex, said))
        self.begun([tag for tag, *_ in self.open[-4:]], self.parser.CurrentByteIndex, said)

    def _end(self, _: str) -> None:
        path = [tag for tag, *_ in self.open[-4:]]
        _, start, said = self.open.pop()
        self.ended(path, start, said)

    def tag(self, start: int) -> re.Match[bytes]:
        """The tag that begins there."""
        found = _TAG.match(self.xml, start)
        if found is None:
            raise child.Unfit(*child.DAMAGED)
        return found

    def closing(self, start: int) -> int | None:
        """Where the end tag begins of the element that ends just now; None for one that has none."""
        return None if self.tag(start)[0].endswith(b"/>") else self.parser.CurrentByteIndex

    def span(self, start: int) -> tuple[int, int]:
        """From the first byte of the element that ends just now to the one behind its last."""
        closing = self.closing(start)
        return start, self.tag(start).end() if closing is None else self.xml.index(b">", closing) + 1

    def begun(self, path: list[str], start: int, said: child.Said) -> None:
        """An element begins; `path` is its name behind those of three it stands in."""

    def ended(self, path: list[str], start: int, said: child.Said) -> None:
        """It ends."""


class _Search(_Elements):
    """Looks for the cells that are wanted."""

    def __init__(self, xml: bytes, wanted: Mapping[Spot, str]) -> None:
        super().__init__(xml)
        self.found = SheetSpots()
        self.rows: dict[int, list[Spot]] = {}
        for spot in sorted(wanted):
            self.rows.setdefault(spot[0], []).append(spot)
        self.spot: Spot = (0, 0)

    def begun(self, path: list[str], start: int, said: child.Said) -> None:
        """A row, a cell, its formula or a merged range."""
        if path[-3:] == ["worksheet", "sheetData", "row"]:
            self.spot = (child.number_of(said.get("r") or str(self.spot[0] + 1)), 0)
            if self.spot[0] in self.rows:
                self.found.prefixes[self.spot[0]] = self.tag(start)[1].removesuffix(b"row").decode()
        elif path[-3:] == ["sheetData", "row", "c"]:
            self._cell(start, said)
        elif path[-3:] == ["row", "c", "f"]:
            self._formula(said)
        elif path[-2:] == ["mergeCells", "mergeCell"]:
            self.found.merged.append(child.area_of(said.get("ref", "")))

    def _cell(self, start: int, said: child.Said) -> None:
        where = said.get("r")
        self.spot = child.place_of(where) if where else (self.spot[0], self.spot[1] + 1)
        for spot in self.rows.get(self.spot[0], ()):
            if spot[1] < self.spot[1]:
                self.found.gaps.setdefault(spot, start)

    def _formula(self, said: child.Said) -> None:
        if said.get("t") == "shared":
            self.found.groups.setdefault(said.get("si", ""), set()).add(self.spot)
            if "ref" in said:
                self.found.masters[self.spot] = said.get("si", "")
        elif said.get("t") == "array" and ":" in said.get("ref", ""):
            self.found.arrays.add(self.spot)

    def ended(self, path: list[str], start: int, said: child.Said) -> None:
        """A cell that is wanted, or the end of its row."""
        if path[-3:] == ["sheetData", "row", "c"] and self.spot in self.rows.get(self.spot[0], ()):
            if self.spot in self.found.cells:
                self.found.twice.add(self.spot)
            self.found.cells[self.spot] = (*self.span(start), said.get("s", ""))
        elif path[-3:] == ["worksheet", "sheetData", "row"] and self.spot[0] in self.rows:
            closing = self.closing(start)
            if closing is not None:
                self.found.gaps = dict.fromkeys(self.rows[self.spot[0]], closing) | self.found.gaps


# The list of formulas


class _Named(_Elements):
    """Notes where the elements stand that name the list of formulas."""

    def __init__(self, xml: bytes) -> None:
        super().__init__(xml)
        self.spans: list[Cut] = []

    def ended(self, path: list[str], start: int, said: child.Said) -> None:
        """Note an element that leads to the list."""
        target = said.get("PartName") or said.get("Target") or ""
        if path[-1] in ("Override", "Relationship") and target.lower().endswith(ORDER):
            self.spans.append((*self.span(start), b""))


def _forget_order(parts: child.Parts, names: Mapping[str, str]) -> None:
    """Drop the list of formulas, which may name the cell that was one; a spreadsheet program makes it anew."""
    order = next((name for low, name in names.items() if low == f"xl/{ORDER}"), None)
    if order is None:
        return
    del parts[order]
    for low in (TYPES, child.LINKS):
        if low in names:
            named = _Named(parts[names[low]])
            named.run()
            parts[names[low]] = _edited(named.xml, named.spans)
