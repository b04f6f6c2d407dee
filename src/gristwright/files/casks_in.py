"""A ledger of casks, CSV or XLSX: a line with a fault is named and the others go on. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path
from typing import TypeAlias

from gristwright.basics import Address, Problem, Refused, Tick, no_tick
from gristwright.files import workbook
from gristwright.files.formulas import as_meant
from gristwright.files.opened import read_bytes
from gristwright.files.reading import Reading
from gristwright.files.separators import separator
from gristwright.files.text_table import rows_of, text_of
from gristwright.files.texts import file_name_problems, text_problems
from gristwright.quantities.bounds import day_outside
from gristwright.quantities.conversion import convert, in_unit
from gristwright.quantities.shown import told_apart
from gristwright.quantities.units import parse_number
from gristwright.records.cask import CaskKind
from gristwright.records.fields import number_of
from gristwright.records.stock import EVENTS, LedgerEntry
from gristwright.reference import woods
from gristwright.reference.load import csv_rows
from gristwright.reference.spelling import close_to
from gristwright.reference.typeface import composed, fault_in
from gristwright.stages.cask import leak, stores
from gristwright.stages.cask.limits import HIGH_CAPACITY_L, HIGH_WALL_MM, LOW_CAPACITY_L, LOW_WALL_MM

# What a ledger may hold, apart from the limit of other files: so much is read, regauged and forecast within a gigabyte.
MOST_LINES, MOST_BYTES = 150_000, 60_000_000
# So much of a text shows what separates its columns; so many lines are read from one telling to the next.
ENOUGH_TO_TELL, LINES_A_TELLING = 1_000_000, 5_000
NEEDED = ("date", "cask", "what")
VAT = "vat"
YES, NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0", "")
DATES = ("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%Y-%m-%d %H:%M:%S")
ZIP = b"PK\x03\x04"
CUT = "Cut it by store or by year of filling; a cask and those it came from stay together."
LEFT_OUT = "The line is left out."
COUNTED = "Its litres are counted; its loss is not forecast."
# What a number of a column is in, where neither its cell nor its heading says another unit of the kind.
UNITS = {"litres": "litre", "capacity_L": "litre", "abv_pct": "abv_pct", "degC": "degC", "rla": "LPA"}
Row: TypeAlias = tuple[Address, list[str]]
PRINTED = ("cask", "store", "place", "from", "spirit", "kind", "prior_contents", "note")


@cache
def headings() -> dict[str, tuple[str, str]]:
    """Heading as read -> column, and the unit that the heading says; empty where it says none."""
    return {_plain(row["heading"]): (row["column"], row["unit"]) for row in csv_rows("tables/cask_columns.csv")}


def _plain(text: str) -> str:
    return text.lower().replace("_", "").replace(" ", "").replace("[", "").replace("]", "")


def read_casks(path: Path, tick: Tick = no_tick) -> Reading[tuple[LedgerEntry, ...]]:
    """The lines of a ledger in their order. Faults of single lines are warnings here: such a line is left out.

    A fault of the reading as a whole: no file, no table, too many lines, a needed column missing, no line that can be
    read. `tick` may raise to stop.
    """
    problems: list[Problem] = file_name_problems(path.name)
    try:
        rows = _rows(path, problems)
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    heads = {k: headings()[_plain(cell)] for k, cell in enumerate(rows[0][1]) if _plain(cell) in headings()}
    missing = [name for name in NEEDED if name not in (column for column, _ in heads.values())]
    if missing:
        way_out = f"A ledger has the columns {', '.join(NEEDED)} and others; see docs/stock.md."
        return Reading(None, (path,), (Problem(rows[0][0], f"no column {missing[0]}.", way_out),))
    problems += _unknown(rows[0])
    columns = Columns.of(heads)
    entries = []
    for number, (where, cells) in enumerate(rows[1:], 1):
        if number % LINES_A_TELLING == 0:
            tick(number, len(rows) - 1, "reading the lines of the ledger")
        entry = _entry(where, columns, cells, problems)
        if entry is not None:
            entries.append(entry)
    if not entries:
        faults = [Problem(p.where, p.what, p.way_out) for p in problems]
        return Reading(
            None, (path,), (*faults, Problem(Address(path.name), "holds no line that can be read.", "Add lines."))
        )
    return Reading(tuple(entries), (path,), tuple(problems))


def _unknown(head: tuple[Address, list[str]]) -> list[Problem]:
    return [
        Problem(head[0], f"the column {cell!r} is not read.", "", warning=True)
        for cell in head[1]
        if cell.strip() and _plain(cell) not in headings()
    ]


def _rows(path: Path, problems: list[Problem]) -> list[Row]:
    """Address and cells of every filled row. Raises Refused when there is no table, or one of too many lines."""
    raw = read_bytes(path, "cask ledger", MOST_BYTES, CUT)
    if raw.startswith(ZIP):
        return list(_workbook_rows(path, raw, problems))
    text = text_of(raw, path.name)
    mark = separator(text[:ENOUGH_TO_TELL])
    _refuse_long(path, sum(any(map(str.strip, cells)) for _, cells in rows_of(text, path.name, mark)) - 1)
    kept: dict[str, str] = {}  # what stands in many cells is looked at once
    return [
        (Address(path.name, row=number), [_as_kept(cell, kept) for cell in cells])
        for number, cells in rows_of(text, path.name, mark)
        if any(map(str.strip, cells))
    ]


def _as_kept(cell: str, kept: dict[str, str]) -> str:
    if cell not in kept:
        kept[cell] = composed(as_meant(cell.strip()))
    return kept[cell]


def _refuse_long(path: Path, lines: int) -> None:
    """Raise Refused for a ledger of no row, or of more lines than fit, before one of them is read."""
    if lines < 0:
        raise Refused([Problem(Address(path.name), "is empty.", "Add a heading and a line for each event.")])
    if lines > MOST_LINES:
        raise Refused([Problem(Address(path.name), f"holds {lines} lines, and {MOST_LINES} fit.", CUT)])


def _workbook_rows(path: Path, raw: bytes, problems: list[Problem]) -> Iterator[tuple[Address, list[str]]]:
    sheet = workbook.read_workbook(path.name, raw, True, problems)[0]
    for row in sheet.cells:
        cells = ["" if cell.copied else cell.text for cell in row]
        if any(cells):
            yield replace(sheet.where, row=row[0].row), cells


@lru_cache(maxsize=20_000)
def date_of(text: str) -> dt.date | None:
    """The day that a cell says; None where it says none."""
    for form in DATES:
        try:
            return dt.datetime.strptime(text, form).replace(tzinfo=dt.UTC).date()
        except ValueError:
            continue
    return None


@dataclass(frozen=True)
class Columns:
    """The columns that a ledger has: by place in a row, by number from 1, and the units that their headings say."""

    at: dict[int, str]
    numbers: dict[str, int]
    units: dict[str, str]

    @classmethod
    def of(cls, heads: dict[int, tuple[str, str]]) -> Columns:
        """Out of column and unit by place in a row; of two columns of one name the last is read."""
        names = {k: column for k, (column, _) in heads.items()}
        units = {column: unit for column, unit in heads.values() if unit}
        return cls(names, {column: k + 1 for k, column in names.items()}, units)


class _Line:
    """One line being read: asks for columns, notes faults with row, column and value."""

    def __init__(self, where: Address, cells: dict[str, str], columns: dict[str, int], units: dict[str, str]) -> None:
        self.where, self.cells, self.columns, self.units = where, cells, columns, units
        self.faults, self.notes = list[Problem](), list[Problem]()

    def place(self, column: str) -> Address:
        """The cell of a column; where the ledger has no such column, the line."""
        return replace(self.where, column=self.columns.get(column)).to(column)

    def text(self, column: str) -> str:
        return self.cells.get(column, "")

    def fault(self, column: str, what: str, way_out: str) -> None:
        self.faults.append(Problem(self.place(column), what, way_out))

    def note(self, column: str, what: str, way_out: str) -> None:
        """Say something of a line that is kept."""
        self.notes.append(Problem(self.place(column), what, way_out, True))

    def printable(self) -> None:
        """Note every name and note that a document could not show."""
        for column in PRINTED:
            if fault_in(self.text(column)):
                self.faults += text_problems(self.text(column), self.place(column))

    def number(self, column: str, low: float, high: float, unit: str) -> float | None:
        """A number within its limits; None where nothing is said or after a fault."""
        text = self.text(column)
        value = self._read(column, text) if text else None
        if value is None or low <= value <= high:
            return value
        typed = f"{text} {self.units.get(column, '')}".strip()
        as_typed = "" if f"{value:g}" in typed else f" ({typed})"
        what = f"{told_apart(value, low, high)} {unit}{as_typed} is outside {low:g} to {high:g} {unit}."
        self.fault(column, what, "Mend it or check the unit.")
        return None

    def _read(self, column: str, text: str) -> float | None:
        """A number in the column's unit, out of the cell's own or the heading's; None after a fault."""
        said, unit = self.units.get(column, ""), UNITS.get(column)
        try:
            return convert(parse_number(text), said, unit).value if said and unit else parse_number(text)
        except Refused as refused:
            fault = refused.problems[0]
        if unit is None or not any(map(str.isdigit, text)):
            self.fault(column, f"{text!r} is not a number.", "Write digits with one decimal point or comma.")
            return None
        try:
            return in_unit(text, unit)
        except Refused as refused:
            fault = fault if fault.where == "proof" else refused.problems[0]
            self.fault(column, f"{text!r}: {fault.what}", fault.way_out)
            return None

    def date(self) -> dt.date | None:
        text = self.text("date")
        date = date_of(text)
        if date is None:
            self.fault("date", f"{text!r} is not a date.", "Write it as 2026-11-25.")
        elif said := day_outside(date):
            self.fault("date", said, "Correct the year.")
        return date

    def choice(self, column: str, options: tuple[str, ...], default: str) -> str:
        text = self.text(column).lower() or default
        if text in options:
            return text
        near = close_to(text, options, 1)
        self.fault(
            column,
            f"{self.text(column)!r} is not known here.",
            f"Did you mean {near[0]!r}?" if near else f"Use one of: {', '.join(options)}.",
        )
        return default

    def flag(self, column: str, default: bool) -> bool:
        text = self.text(column).lower()
        if not text:
            return default
        if text not in (*YES, *NO):
            self.fault(column, f"{text!r} is neither yes nor no.", "Write yes or no.")
        return text in YES


def _entry(where: Address, columns: Columns, cells: list[str], problems: list[Problem]) -> LedgerEntry | None:
    """One line as an entry, or None after its faults have been noted."""
    said = {column: cells[k] for k, column in columns.at.items() if k < len(cells)}
    line = _Line(where, said, columns.numbers, columns.units)
    date = line.date()
    if not line.text("cask"):
        line.fault("cask", "is empty.", "Name the cask.")
    what = line.choice("what", EVENTS, "gauged")
    kind = _kind(line) if what == "filled" else None
    problems += _strange_wood(line, kind)
    line.printable()
    entry = LedgerEntry(
        line.where,
        date or dt.date.min,
        line.text("cask"),
        what,
        line.number("litres", 0.001, 50_000.0, "L"),
        line.number("abv_pct", 0.5, 97.0, "%vol"),
        line.number("degC", -20.0, 40.0, "degC"),
        line.choice("method", tuple(leak.gauging()), "stated"),
        line.number("rla", 0.0, 50_000.0, "L"),
        line.text("store"),
        line.text("place"),
        tuple(name.strip() for name in line.text("from").split("+") if name.strip()),
        line.text("spirit"),
        kind,
        line.flag("rejuvenated", False),
        line.text("note"),
    )
    problems += [Problem(p.where, p.what, f"{p.way_out} {LEFT_OUT}", True) for p in line.faults] or line.notes
    return entry if not line.faults else None


def _kind(line: _Line) -> CaskKind | None:
    """The cask of a filling, what the line does not say out of the table; None where its kind is not known."""
    names = {known.casefold(): known for known in (*stores.kind_names(), VAT)}
    name = names.get(line.text("kind").casefold(), line.text("kind"))
    known = stores.kind_named(name) if name in stores.kind_names() else None
    before = len(line.faults)
    capacity = line.number("capacity_L", LOW_CAPACITY_L, 50_000.0 if name == VAT else HIGH_CAPACITY_L, "L")
    if known is None and capacity is None:
        if len(line.faults) == before:
            _unknown_kind(line, name)
        return None
    wall = line.number("wall_mm", LOW_WALL_MM, HIGH_WALL_MM, "mm")
    fill = line.number("fill_number", *number_of(CaskKind, "fill_number").bounds, "fills")
    return CaskKind(
        name or f"{capacity:g} L",
        capacity if capacity is not None else known.capacity_L if known else 0.0,
        wall if wall is not None else known.wall_mm if known else 25.0,
        _wood(line, name),
        int(fill or 1),
        line.flag("charred", True),
        line.text("prior_contents"),
    )


def _unknown_kind(line: _Line, name: str) -> None:
    """A filling whose cask cannot be known: a vat is nothing without its litres, any other holds what it holds."""
    if name == VAT:
        line.fault("capacity_L", "a vat without its litres.", "Give capacity_L.")
        return
    near = close_to(name.casefold(), stores.kind_names(), 1)
    ways = f"Did you mean {near[0]!r}?" if near else f"Give capacity_L, or one of: {', '.join(stores.kind_names())}."
    wood = "" if woods.wood_of(line.text("wood")) is not None else " Give its wood as well."
    cask = line.text("cask") or "the cask"
    what = f"{name!r} is no kind of cask we know, for {cask}." if name else f"the kind of {cask} is not given."
    line.note("kind", what, f"{ways}{wood} {COUNTED}")


def _wood(line: _Line, kind: str) -> str:
    word = line.text("wood") or ("steel" if kind == VAT else "")
    if not word:
        line.fault("wood", "'nothing' is no wood we know.", _woods(word))
    return woods.wood_of(word) or word


def _woods(word: str) -> str:
    near = woods.near(word)
    return f"Did you mean {near!r}?" if near else f"Use one of: {', '.join(woods.accepted())}."


def _strange_wood(line: _Line, kind: CaskKind | None) -> list[Problem]:
    """A warning for a word no table of woods has: the filling is kept, and the law does not know whether it counts."""
    if kind is None or not kind.wood or woods.wood_of(kind.wood) is not None:
        return []
    what = f"{kind.wood!r} is no wood we know: whether its time counts as age is unknown."
    return [Problem(line.place("wood"), what, _woods(kind.wood), warning=True)]
