"""The lines of a table into lots: identity, figures, and what stands once for all of them. See docs/certificates.md."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping as Pairs
from dataclasses import dataclass, field, replace
from itertools import pairwise
from types import MappingProxyType

from gristwright.basics import Address, Problem, Refused, Standing, at
from gristwright.files.cells import Cell
from gristwright.files.certificates.cell_values import figure, is_measured, unit_in
from gristwright.files.certificates.columns import Column, column_of, fits, sure_fields, unknown
from gristwright.files.certificates.headings import CERTIFICATE, IDENTITY, is_unit, read_heading
from gristwright.files.certificates.mapping import Mapping
from gristwright.files.certificates.table import Line, LotTable
from gristwright.files.reader import MOST_STRANGE
from gristwright.files.texts import text_problems
from gristwright.records.lot import Analysis, Lot
from gristwright.reference.type_names import type_named
from gristwright.stages.grist.certificate_units import fields, in_table_unit

STATED = re.compile(r"^\s*(?P<name>[^:]{2,40}):\s*(?P<value>\S.*)$", re.DOTALL)
DIGEST = re.compile(r"[0-9a-fA-F]{64}")
YEAR = re.compile(r"^\D*((?:19|20)\d\d)\D*$")
MAP_HINT = "Or say with --map what it is."
NOTHING_SAID: Pairs[str, Address] = MappingProxyType({})
NOTHING_CALLED: Pairs[str, str] = MappingProxyType({})
NEEDED = {
    "lot": "Give the lot a name, the one that bills and enquiries call it by.",
    "material": "Say what it is, such as pilsner malt or raw rye; gristwright types lists what there is.",
}
# A malt house sends fewer in a year.
MOST_LOTS = 2_000
# What of a lot's identity a document prints.
PRINTED = ("lot", "supplier", "lot number")


@dataclass(frozen=True)
class IdentityWord:
    """A word of a lot's identity and where it stands."""

    text: str
    where: Address


@dataclass(frozen=True)
class StrangeUnit:
    """A word beside a figure that is no unit of its field."""

    word: str
    field: str


@dataclass
class Gathered:
    """What reading gathers besides the lots: texts as printed by place, columns, headings nobody knows."""

    problems: list[Problem]
    certificate: str = ""  # SHA-256 of the file that is read
    printed: dict[Address, str] = field(default_factory=dict)
    columns: list[Column] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)
    strange: dict[Address, StrangeUnit] = field(default_factory=dict)


def lots_of(table: LotTable, mapping: Mapping, gathered: Gathered) -> list[Lot]:
    """Every lot of a table; faults and remarks are added to what is gathered."""
    lots = tuple(line for line in table.of_kind("lot") if _number(table, line) not in mapping.left_out)
    refuse_too_many(len(lots), table.sheet.where)
    common = _common(table) | {
        role: IdentityWord(text, at("map", "constants", role)) for role, text in mapping.constants.items()
    }
    if "material" not in common:
        table = _typed(table, lots, mapping)
    columns = _columns(table, lots, mapping, gathered)
    for line in table.of_kind("note"):
        _note(table, line, gathered.problems)
    ends = _last_heading(table)
    return [
        _lot(table, line, {} if _too_long(table, line, ends, gathered) else columns,
             _identity(table, line, lots, common), mapping, gathered)
        for line in lots
    ]  # fmt: skip


def refuse_too_many(count: int, where: Address) -> None:
    """Raise Refused for more lots than one file may hold."""
    if count > MOST_LOTS:
        raise Refused([Problem(where, f"holds {count} lots; a file may hold {MOST_LOTS}.", "Divide it.")])


def _last_heading(table: LotTable) -> int:
    """How many columns have a heading."""
    return max((k for k, heading in enumerate(table.headings, start=1) if heading.role != "empty"), default=0)


def _too_long(table: LotTable, line: Line, ends: int, gathered: Gathered) -> bool:
    """Whether a row of a text file has more cells than there are headings: its figures stand under wrong ones."""
    filled = max((k for k, cell in enumerate(line.cells, start=1) if cell.filled), default=0)
    if table.sheet.name or table.lots_are != "rows" or filled <= ends:
        return False
    what = f"has {filled} cells, and {ends} headings stand above them."
    way_out = "A decimal comma parts cells too: write decimal points, or semicolons between the cells."
    gathered.problems.append(Problem(replace(table.sheet.where, row=line.cells[0].row), what, way_out))
    return True


def _typed(table: LotTable, lots: tuple[Line, ...], mapping: Mapping) -> LotTable:
    """The table with one column for the types: that whose cells name some. A heading such as type, or a column that is
    else not read, may be it: Sorte is the malt on one sheet and the variety of the barley on another. What a mapping
    says of a heading stands."""
    if "material" in mapping.identity.values():
        return table
    said = {" ".join(text.split()).casefold() for text in (*mapping.ignore, *mapping.identity)}
    named = [_types_named(lots, k, mapping) for k in range(len(table.headings))]
    plain = [k for k, heading in enumerate(table.headings) if heading.role == "material"]
    other = [
        k
        for k, heading in enumerate(table.headings)
        if " ".join(heading.text.split()).casefold() not in said
        and (heading.role == "not read" or (heading.role == "unknown" and named[k] == len(lots)))
    ]
    columns = [k for k in plain if named[k]] or [k for k in other if named[k]] or plain[:1]
    if not columns:
        return table
    types = max(columns, key=lambda k: named[k])
    headings = [
        replace(heading, role="not read") if k in plain else heading for k, heading in enumerate(table.headings)
    ]
    headings[types] = replace(table.headings[types], role="material")
    return replace(table, headings=tuple(headings))


def _types_named(lots: tuple[Line, ...], k: int, mapping: Mapping) -> int:
    """In how many lines the cells of a column name a type."""
    texts = [line.cells[k].text for line in lots]
    return sum(1 for text in texts if text and type_named(mapping.material(text)))


def _note(table: LotTable, line: Line, problems: list[Problem]) -> None:
    cell = next(cell for cell in line.cells if cell.filled)
    if not cell.copied and table.lots_are == "rows" and len(cell.text) <= 20:
        what = f"only {cell.text!r} stands in this line, so it is taken for a note."
        problems.append(Problem(table.sheet.place(cell), what, "Fill the line in if it is a lot.", warning=True))


def _columns(table: LotTable, lots: tuple[Line, ...], mapping: Mapping, gathered: Gathered) -> dict[int, Column]:
    """The column of each heading that has figures; headings nobody knows and specifications are told."""
    columns: dict[int, Column] = {}
    mapped = {" ".join(c.heading.split()).casefold(): c for c in mapping.columns}
    for k, heading in enumerate(table.headings):
        cells = [line.cells[k] for line in lots if is_measured(line.cells[k])]
        if not cells or heading.role in ("empty", *IDENTITY):
            continue
        where = table.sheet.place(table.heading_cells[k]).to(f"heading {heading.text!r}")
        if heading.role == "field":
            column = mapped.get(heading.text.casefold()) or _made(table, k, cells, where, gathered.problems)
            if column:
                columns[k] = column
                gathered.columns.append(column)
        else:
            _told(heading.role, heading.text, heading.note, where, gathered, table.headings[k].text)
    return columns


def _made(table: LotTable, k: int, cells: list[Cell], where: Address, problems: list[Problem]) -> Column | None:
    heading = table.headings[k]
    unit = next((t for line in table.of_kind("unit") if (t := line.cells[k].text.strip("[]() "))), "")
    if not unit and not heading.unit:
        unit = next((text for cell in cells if (text := unit_in(cell)) and is_unit(text)), "")
    try:
        return column_of(heading, unit, where, sure_fields(table.headings))
    except Refused as refused:
        problems += refused.problems
        return None


def _told(role: str, text: str, note: str, where: Address, gathered: Gathered, heading: str) -> None:
    """What is said of a heading that is not read."""
    if role == "unknown":
        gathered.unknown.append(text)
        many = len(gathered.unknown) > MOST_STRANGE
        gathered.problems.append(unknown(read_heading(heading), where, MAP_HINT, look=not many))
    elif role == "specification":
        what = "is a specification, not an analysis; it is not taken as measured."
        gathered.problems.append(Problem(where, what, warning=True))
    else:
        gathered.ignored.append(text)
        if note:
            gathered.problems.append(Problem(where, "is not read.", note, warning=True))


def _common(table: LotTable) -> dict[str, IdentityWord]:
    """Identity that stands once above the table, as "Supplier: …" in one cell or as two cells side by side."""
    words: dict[str, IdentityWord] = {}
    lines = table.above if table.lots_are == "rows" else (table.heading_cells,)
    for cells in lines:
        own = [cell for cell in cells if cell.filled and not cell.copied]
        for cell in own:
            stated = STATED.match(cell.text)
            if stated and (role := read_heading(stated["name"]).role) in IDENTITY:
                words.setdefault(role, IdentityWord(stated["value"].strip(), table.sheet.place(cell)))
        for first, second in pairwise(own):
            role = read_heading(first.text).role
            if table.lots_are == "rows" and role in IDENTITY and read_heading(second.text).role not in IDENTITY:
                words.setdefault(role, IdentityWord(second.text, table.sheet.place(second)))
    return words


def _identity(
    table: LotTable, line: Line, lots: tuple[Line, ...], common: dict[str, IdentityWord]
) -> dict[str, IdentityWord]:
    """The identity words of one lot: its own cells, then what stands beside the headings, then what stands above."""
    words = dict(common)
    for k, heading in enumerate(table.headings):
        if heading.role not in IDENTITY:
            continue
        aside = [other.cells[k] for other in table.lines if other.kind != "lot" or len(lots) == 1]
        cell = next((cell for cell in (line.cells[k], *aside) if cell.text), None)
        if cell:
            words[heading.role] = IdentityWord(cell.text, table.sheet.place(cell))
    return words


def _lot(
    table: LotTable,
    line: Line,
    columns: dict[int, Column],
    said: dict[str, IdentityWord],
    mapping: Mapping,
    gathered: Gathered,
) -> Lot:
    first = line.cells[0]
    by_rows = table.lots_are == "rows"
    words = {role: one.text for role, one in said.items()} | mapping.given.get(_number(table, line), {})
    where = replace(table.sheet.where, row=first.row if by_rows else None, column=None if by_rows else first.column)
    analyses = []
    for k, column in columns.items():
        methods = [other.cells[k].text for other in table.of_kind("method") if other.cells[k].text]
        place = _place(table, line.cells[k], column)
        cell = _as_said(line.cells[k], column, place, mapping, gathered)
        methods = [mapping.method(column.heading), column.method, *methods, words.get("method", "")]
        analyses += figures(cell, column, place, methods, gathered)
        if place in gathered.printed:
            gathered.printed[place] = line.cells[k].text
    label = line.label if table.lots_are == "columns" else ""
    words["lot"] = words.get("lot") or words.get("lot number") or label
    words["material"] = mapping.material(words.get("material", ""))
    for role in PRINTED:
        faults = text_problems(words.get(role, ""), said[role].where if role in said else where.to(role))
        gathered.problems += [problem for problem in faults if problem not in gathered.problems]
    places = {role: _named(table, one.where, role) for role, one in said.items()}
    return make_lot(words, analyses, where, gathered, places)


def _number(table: LotTable, line: Line) -> tuple[str, int]:
    """Sheet and number of a line: of its row, or of its column where lots are columns."""
    first = line.cells[0]
    return table.sheet.name, first.row if table.lots_are == "rows" else first.column


def _as_said(cell: Cell, column: Column, place: Address, mapping: Mapping, gathered: Gathered) -> Cell:
    """The cell with what somebody said of it: the value of a merged one taken for each lot, a supplier's own word for
    its unit said in ours; a word that nobody explained is gathered."""
    if cell.copied and (place.sheet, cell.row, cell.column) in mapping.spread:
        cell = replace(cell, copied=False)
    word = unit_in(cell)
    if not word or cell.unit or not is_measured(cell):
        return cell
    means = mapping.unit(word)
    if means in fields()[column.field].units:
        return replace(cell, text=f"{cell.text.removesuffix(word).strip()} {means}")
    if not fits(column.field, word):
        gathered.strange[place] = StrangeUnit(word, column.field)
    return cell


def _place(table: LotTable, cell: Cell, column: Column) -> Address:
    """The cell; in a row of a text file by the heading of its column."""
    return _named(table, table.sheet.place(cell), "" if table.sheet.name else column.heading)


def _named(table: LotTable, cell: Address, heading: str) -> Address:
    """A cell with what stands in it; where lots are columns of a text file, the column says which lot it is."""
    return cell.to(heading) if heading and (table.lots_are == "rows" or table.sheet.name) else cell


def figures(cell: Cell, column: Column, place: Address, methods: list[str], gathered: Gathered) -> list[Analysis]:
    """The analysis of one cell, none when it holds no figure."""
    value = figure(cell, column, place, gathered.problems)
    if value is None:
        return []
    try:
        in_table_unit(column.field, value.value, value.unit)
    except Refused as refused:
        gathered.problems += [Problem(place, p.what, p.way_out) for p in refused.problems]
        return []
    gathered.printed[place] = cell.text
    method = next((text for text in methods if text), "")
    return [Analysis(column.field, value.value, value.unit, column.basis, method, Standing.MEASURED, place)]


def make_lot(
    words: dict[str, str],
    analyses: list[Analysis],
    where: Address,
    gathered: Gathered,
    places: Pairs[str, Address] = NOTHING_SAID,
    called: Pairs[str, str] = NOTHING_CALLED,
) -> Lot:
    """A lot of its words and analyses, noting what is missing, no year, or given twice; `places` are those of words,
    `called` what a file calls them otherwise."""
    problems = gathered.problems
    for needed, what in NEEDED.items():
        if not words.get(needed):
            problems.append(Problem(where.to(called.get(needed, needed)), "is empty.", what))
    crop = words.get("crop", "")
    year = YEAR.match(crop)
    if crop and not year:
        problems.append(
            Problem(
                places.get("crop", where.to("crop")), f"{crop!r} is not a year.", "Give the harvest year, such as 2025."
            )
        )
    if year and int(year[1]) > dt.date.today().year + 1:  # noqa: DTZ011
        what = f"{crop!r} lies ahead: no such harvest was brought in yet."
        problems.append(Problem(places.get("crop", where.to("crop")), what, "Give the harvest year, such as 2025."))
    return Lot(
        lot_id=words.get("lot", ""),
        material=material_key(words.get("material", "")),
        supplier=words.get("supplier", ""),
        lot_number=words.get("lot number", ""),
        crop=int(year[1]) if year else None,
        analyses=_once(analyses, problems),
        where=where,
        certificate=_certificate(words, where, gathered, places),
    )


def _certificate(words: dict[str, str], where: Address, gathered: Gathered, places: Pairs[str, Address]) -> str:
    """The certificate a list says its figures came from, else the file that is read itself."""
    said = words.get(CERTIFICATE, "")
    if said and not DIGEST.fullmatch(said):
        place = places.get(CERTIFICATE, where.to(CERTIFICATE))
        what = f"{said!r} is no SHA-256."
        gathered.problems.append(Problem(place, what, "Give its 64 hexadecimal digits, or leave it empty."))
    return said.lower() or gathered.certificate


def material_key(text: str) -> str:
    """The key of a type that is named by its key, its title or plain trade words; any other text stays as it is."""
    return type_named(text) or text


def _once(analyses: list[Analysis], problems: list[Problem]) -> tuple[Analysis, ...]:
    """Each figure once; one field in two units or on two bases is kept twice, two values for one are a fault."""
    kept: dict[tuple[str, str, str], Analysis] = {}
    for analysis in analyses:
        key = (analysis.field, analysis.unit, analysis.basis)
        other = kept.setdefault(key, analysis)
        if other.value != analysis.value:
            what = f"{analysis.value:g} {analysis.unit} stands beside {other.value:g} {other.unit} at {other.where}."
            problems.append(Problem(analysis.where, what, "One field has one value; keep the right one."))
    return tuple(kept.values())
