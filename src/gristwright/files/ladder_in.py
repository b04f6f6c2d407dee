"""Casks of a ladder or of arms under test out of a table: one row a sample or a score. See docs/ageing.md."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.casework.claim import HOW, MATURITY, kind_said
from gristwright.files.cells import Cell, Sheet
from gristwright.files.opened import read_bytes
from gristwright.files.reading import Reading
from gristwright.files.sheets import read_sheets
from gristwright.files.texts import file_name_problems, text_problems
from gristwright.files.workbook_child import MOST_CELLS
from gristwright.quantities.shown import outside
from gristwright.quantities.units import parse_number, unlikely
from gristwright.records.ageing import CaskFacts, CaskTable, Sample, Score
from gristwright.reference.load import csv_rows
from gristwright.reference.spelling import folded

HEAD = re.compile(r"(?P<name>[^\[(]+)(?:[\[(](?P<unit>[^\])]*)[\])])?")
END = r"[0-9]{1,6}(?:\.[0-9]{1,6})?"
SCALE = re.compile(rf"(?P<low>{END})\s*(?:-|–|to)\s*(?P<high>{END})(?:\s*[,;])?\s*(?P<says>[^\W\d_]+(?: [^\W\d_]+)*)?")
# Other ways to write the columns that are no measurement.
SAME = {
    "age": "age_years",
    "years": "age_years",
    "entry_abv": "entry_abv_pct",
    "entry_strength": "entry_abv_pct",
    "capacity": "capacity_L",
    "capacity_l": "capacity_L",
    "fill_number": "fill",
    "warehouse": "store",
}
FACTS = ("wood", "fill", "entry_abv_pct", "store", "capacity_L")
KNOWN = ("arm", "cask", "age_years", *FACTS, "assessor", "sitting")
NAMES = ("arm", "cask", "wood", "fill", "store", "assessor", "sitting")
OLDEST = 100.0
# No measurement of a spirit is larger in any unit, and no cask or strength of filling lies outside these.
LARGEST = 1e9
BOUNDS = {"entry_abv_pct": (0.5, 97.0, "%vol"), "capacity_L": (0.05, 100_000.0, "L")}
KINDS = ("malt", "immature", "age")


@dataclass
class _Table:
    """A sheet on its way to records."""

    sheet: Sheet
    arms: bool
    problems: list[Problem]
    columns: dict[str, int] = field(default_factory=dict)  # name -> place in the row
    units: dict[str, str] = field(default_factory=dict)
    scales: dict[str, tuple[float, float]] = field(default_factory=dict)
    speaks_of: dict[str, str] = field(default_factory=dict)  # scale -> malt, immature or age, as its heading says
    months: bool = False
    first: dict[str, dict[str, str]] = field(default_factory=dict)  # cask -> facts as first written

    def printable(self, cell: Cell) -> None:
        """Note a text that a document could not show; a fault, for casks left out by name would bend the age."""
        self.problems += text_problems(cell.text, self.sheet.place(cell))

    def warn(self, cell: Cell, what: str, way_out: str) -> None:
        """A fault that costs one row, column or value; the rest is kept."""
        self.problems.append(Problem(self.sheet.place(cell), what, way_out, True))


def read_casks(path: Path, arms: bool = False) -> Reading[CaskTable]:
    """The casks of a file with every fault; rows and columns that cannot be used are left out with a warning."""
    problems: list[Problem] = file_name_problems(path.name)
    try:
        if not read_bytes(path, "table of casks").strip():
            raise Refused(
                [Problem(Address(path.name), "is empty; it holds no cask.", "Add one row for each sample and score.")]
            )
        sheet = next(iter(read_sheets(path, problems)))
        table = _casks(_Table(sheet, arms, problems))
    except Refused as refused:
        return Reading(None, (path,), (*problems, *refused.problems))
    return Reading(table, (path,), tuple(problems))


def _casks(table: _Table) -> CaskTable:
    rows = [row for row in table.sheet.cells if any(cell.filled for cell in row)]
    remarks = [row for row in rows if row[0].text.startswith("#")]
    rows = [row for row in rows if not row[0].text.startswith("#")]
    if not rows:
        raise Refused([Problem(table.sheet.where, "holds no row of headings.", "Begin with cask, age_years, …")])
    for place, cell in enumerate(rows[0]):
        if cell.filled:
            _column(table, place, cell)
    missing = [name for name in ("cask", "age_years") if name not in table.columns]
    if missing:
        way_out = "Head them cask and age_years."
        raise Refused([Problem(table.sheet.where, f"has no column {' and no '.join(missing)}.", way_out)])
    # Written out again it has every column that is known here, and has to be read once more.
    most = MOST_CELLS // (len(table.columns) + len(KNOWN))
    if len(rows) > most:
        raise Refused([Problem(table.sheet.where, f"holds more than {most} rows.", "Send the rows that count.")])
    for row in rows[1:]:
        for place in (table.columns[name] for name in NAMES if name in table.columns):
            table.printable(row[place])
    records = [made for row in rows[1:] for made in _records(table, row)]
    samples = tuple(item for item in records if isinstance(item, Sample))
    scores = tuple(item for item in records if isinstance(item, Score))
    if not records:
        raise Refused([Problem(table.sheet.where, "holds no cask that can be used.", "Give a row a sample or score.")])
    invented = any("invented" in cell.text.lower() for row in remarks for cell in row)
    notes = {f"{kind}_notes": tuple(n for n, k in table.speaks_of.items() if k == kind) for kind in KINDS}
    return CaskTable(table.sheet.file, samples, scores, table.units, table.scales, invented, **notes)


def _column(table: _Table, place: int, cell: Cell) -> None:
    match = HEAD.fullmatch(cell.text.strip())
    name = " ".join((match["name"] if match else cell.text).split())
    unit = (match["unit"] or "").strip() if match else ""
    key = name.casefold().replace(" ", "_")
    key = SAME.get(key, next((known for known in KNOWN if known.casefold() == key), name.casefold()))
    if key in table.columns:
        table.warn(cell, f"{name!r} heads two columns.", "The first is read; take the other away.")
        return
    scale = SCALE.fullmatch(unit)
    if key in KNOWN:
        table.months = table.months or (key == "age_years" and unit.casefold().startswith("month"))
    elif scale:
        low, high = float(scale["low"]), float(scale["high"])
        if low >= high:
            table.warn(cell, f"{name!r} goes from {low:g} to {high:g}.", "Write the low end first. It is left out.")
            return
        table.scales[key] = (low, high)
        _spoken_of(table, cell, key, (scale["says"] or "").strip())
    elif unit and folded(key) in _words_of_a_panel():
        way_out = f"Write it as {name} [0-10] with the ends of its scale. It is left out."
        table.warn(cell, f"{name!r} is a word of a panel and has no scale.", way_out)
        return
    elif unit:
        table.units[key] = unit
    else:
        way_out = f"Write it as {name} [mg/L], or {name} [0-10] for a score. It is left out."
        table.warn(cell, f"{name!r} has neither a unit nor a scale.", way_out)
        return
    table.columns[key] = place
    table.printable(cell)


def _spoken_of(table: _Table, cell: Cell, key: str, said: str) -> None:
    """Keep what the heading says a scale speaks of; maturity is read for age and can be of nothing else."""
    kind = kind_said(said) if said else ""
    if kind is None:
        table.warn(cell, f"{said!r} does not say what {key!r} speaks of.", f"{HOW}; the scale is read without it.")
    elif key == MATURITY and kind in ("malt", "immature"):
        table.warn(cell, f"{key!r} is read for age and is no note of {kind}.", f"Take the word {said} away.")
    elif kind and key != MATURITY:
        table.speaks_of[key] = kind


@cache
def _words_of_a_panel() -> frozenset[str]:
    return frozenset(folded(row["word"]) for row in csv_rows("tables/ageing_notes.csv"))


def _records(table: _Table, row: tuple[Cell, ...]) -> list[Sample | Score]:
    """The sample and the score of one row, or nothing after saying why."""

    def text(name: str) -> str:
        return row[table.columns[name]].text.strip() if name in table.columns else ""

    cask = text("cask")
    if not cask:
        table.warn(row[table.columns["cask"]], "the cask is not named.", "Name it; the row is left out.")
        return []
    written = {name: text(name) for name in ("arm", "age_years", *FACTS)}
    kept = table.first.setdefault(cask, written)
    written = {name: value or kept[name] for name, value in written.items()}
    if not _same_cask(table, row, cask, written, kept):
        return []
    years = _years(table, row, written["age_years"])
    arm = written["arm"] or ("arm" if "arm" not in table.columns else "")
    if years is None:
        return []
    if table.arms and not arm:
        table.warn(row[table.columns["cask"]], f"cask {cask} belongs to no arm.", "Name its arm; the row is left out.")
        return []
    head = (row[0].row, cask, arm if table.arms else "", years, _facts(table, row, written))
    made: list[Sample | Score] = []
    values = {name: value for name in table.units if (value := _value(table, row, name)) is not None}
    if values:
        made.append(Sample(*head, values))
    scores = {name: value for name in table.scales if (value := _value(table, row, name)) is not None}
    if scores and not text("assessor"):
        table.warn(row[0], "has scores and no assessor.", "Name who gave them; they are left out.")
    elif scores:
        made.append(Score(*head, text("assessor"), text("sitting"), scores))
    return made


def _same_cask(table: _Table, row: tuple[Cell, ...], cask: str, written: dict[str, str], kept: dict[str, str]) -> bool:
    """Whether the row speaks of the cask as its first row did."""
    differs = [name for name in ("arm", *FACTS) if written[name] != kept[name]]
    for name in differs:
        what = f"cask {cask} has {name} {written[name]!r} here and {kept[name]!r} in its first row."
        table.warn(row[table.columns[name]], what, "One cask has one of each; the row is left out.")
    return not differs


def _years(table: _Table, row: tuple[Cell, ...], text: str) -> float | None:
    cell = row[table.columns["age_years"]]
    if not text:
        table.warn(cell, "the age is missing.", "Give it in years; the row is left out.")
        return None
    value = _number(table, cell, text)
    if value is None:
        return None
    years = value / 12.0 if table.months else value
    if not 0.0 <= years <= OLDEST:
        table.warn(cell, f"{years:g} years is no age of a cask (0 to {OLDEST:g}).", "The row is left out.")
        return None
    return years


def _facts(table: _Table, row: tuple[Cell, ...], written: dict[str, str]) -> CaskFacts:
    def number(name: str) -> float | None:
        if not written[name]:
            return None
        cell, (low, high, unit) = row[table.columns[name]], BOUNDS[name]
        value = _number(table, cell, written[name])
        if value is None or low <= value <= high:
            return value
        table.warn(cell, outside(value, low, high, unit), "Correct it; it is left out.")
        return None

    wood, fill, store = (written[name].casefold() for name in ("wood", "fill", "store"))
    return CaskFacts(wood, fill, number("entry_abv_pct"), store, number("capacity_L"))


def _value(table: _Table, row: tuple[Cell, ...], name: str) -> float | None:
    """A measurement or score; None where there is none or it cannot be used."""
    cell = row[table.columns[name]]
    if not cell.filled:
        return None
    value = _number(table, cell, cell.text)
    if value is not None and name in table.scales:
        low, high = table.scales[name]
        if not low <= value <= high:
            what = f"{name} {value:g} lies off the scale {low:g} to {high:g}."
            table.warn(cell, what, "Correct it; the score is left out.")
            return None
    if value is not None and name in table.units and value > LARGEST:
        what = f"{name} {value:g} is more than any measurement ({LARGEST:g})."
        table.warn(cell, what, "Correct it; the value is left out.")
        return None
    if value is not None and name in table.units and value < 0.0:
        table.warn(cell, f"{name} {value:g} is below nothing.", "Correct it; the value is left out.")
        return None
    return value


def _number(table: _Table, cell: Cell, text: str) -> float | None:
    if cell.number is not None and cell.text.strip() == text and not unlikely(cell.number):
        return cell.number
    try:
        return parse_number(text)
    except Refused as refused:
        first = refused.problems[0]
        what = first.what if repr(text) in first.what else f"{text!r}: {first.what}"
        table.warn(cell, what, f"{first.way_out} It is left out.".strip())
        return None
