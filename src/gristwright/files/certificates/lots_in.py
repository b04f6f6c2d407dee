"""Lots from certificates as XLSX, CSV or TOML: every cell read, or a fault with its place, value and way out.

See docs/certificates.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.files.cells import Sheet
from gristwright.files.certificates.columns import Column
from gristwright.files.certificates.lot_lines import Gathered, StrangeUnit, lots_of
from gristwright.files.certificates.lots_toml import from_toml
from gristwright.files.certificates.mapping import Mapping
from gristwright.files.certificates.maps import MapFound, fitting, maps_in, merged, told
from gristwright.files.certificates.table import Known, LotTable, find_table
from gristwright.files.certificates.whose import fingerprint, headings_of, supplier_of
from gristwright.files.opened import read_bytes
from gristwright.files.reading import Reading
from gristwright.files.sheets import read_sheets
from gristwright.files.texts import file_name_problems
from gristwright.records.lot import Lot

NO_TABLE = "Give a table with a heading for each field, or lots as columns; docs/certificates.md shows both."


@dataclass(frozen=True)
class Certificates:
    """Lots with what was printed in each cell, the mapping that reads the file so, and the headings nobody knows."""

    reading: Reading[tuple[Lot, ...]]
    printed: dict[Address, str] = field(default_factory=dict)
    mapping: Mapping = field(default_factory=Mapping)
    unknown: tuple[str, ...] = ()
    strange: dict[Address, StrangeUnit] = field(default_factory=dict)


def read_lots(path: Path, mapping: Mapping | None = None, folders: Sequence[Path] = ()) -> Reading[tuple[Lot, ...]]:
    """The lots of a file with every fault and warning; no lots at all when nothing could be read."""
    return read_certificates(path, mapping, folders).reading


def read_certificates(path: Path, mapping: Mapping | None = None, folders: Sequence[Path] = ()) -> Certificates:
    """The lots of a file with what stood in the cells and how the sheet was understood.

    Without a mapping those maps in the folders are used that are of the supplier the file names, or of its headings.
    """
    gathered = Gathered(file_name_problems(path.name))
    used = mapping or Mapping()
    tables: list[LotTable] = []
    sheets: list[Sheet] = []
    found: list[MapFound] = []
    try:
        gathered.certificate = sha256(read_bytes(path, "lots file")).hexdigest()
        if path.suffix.lower() == ".toml":
            lots = from_toml(path, gathered)
        else:
            sheets = read_sheets(path, gathered.problems)
            found = [] if mapping else fitting(maps_in(folders, gathered.problems), sheets)
            used = merged(found) if found else used
            gathered.problems += told(found, path.name)
            tables = _tables(path.name, sheets, used)
            lots = [lot for table in tables for lot in lots_of(table, used, gathered)]
    except Refused as refused:
        files = (path, *(one.path for one in found))
        reading_none: Reading[tuple[Lot, ...]] = Reading(None, files, (*gathered.problems, *refused.problems))
        heads = headings_of(sheets)
        named_by = replace(used, headings_sha256=fingerprint(heads)) if heads and not used.supplier else used
        return Certificates(reading_none, mapping=named_by, unknown=heads)
    if not lots and not any(not problem.warning for problem in gathered.problems):
        way_out = (
            "Add a table [[lots]] for each lot." if path.suffix.lower() == ".toml" else "Add one row for each lot."
        )
        gathered.problems.append(Problem(Address(path.name), "holds no lot.", way_out))
    gathered.problems += doubles(lots)
    reading = Reading(tuple(lots), (path, *(one.path for one in found)), tuple(gathered.problems))
    named = "" if used.constants.get("supplier") else supplier_of(lots)
    understood = _understood(used, tables, gathered, named)
    return Certificates(reading, gathered.printed, understood, tuple(gathered.unknown), gathered.strange)


def _tables(name: str, sheets: list[Sheet], mapping: Mapping) -> list[LotTable]:
    """The table of each sheet that has one. Raises Refused when none has."""
    if mapping.sheet and not any(sheet.name for sheet in sheets):
        what = f"is a text table without sheets, and the map names the sheet {mapping.sheet!r}."
        raise Refused([Problem(Address(name), what, "Take the line sheet out of the map.")])
    if mapping.sheet and mapping.sheet not in [sheet.name for sheet in sheets]:
        named = ", ".join(sheet.name for sheet in sheets) or "none"
        what = f"has no sheet {mapping.sheet!r}, which the map names."
        raise Refused([Problem(Address(name), what, f"Its sheets are: {named}. Correct the map.")])
    wanted = [sheet for sheet in sheets if mapping.sheet in ("", sheet.name)]
    known = Known(mapping.headings())
    tables = [table for sheet in wanted if (table := find_table(sheet, known, mapping.lots_are))]
    if not tables:
        raise Refused([_no_table(name, wanted)])
    return tables


def _no_table(name: str, sheets: list[Sheet]) -> Problem:
    """One heading alone is no table, but its fault may be the reason: a heading nobody knows."""
    first = next((row for sheet in sheets for row in sheet.cells if any(cell.filled for cell in row)), ())
    said = ", ".join(repr(cell.text[:30]) for cell in first[:4] if cell.text)
    seen = f" It begins with {said}." if said else ""
    return Problem(Address(name), f"holds no table of lots.{seen}", NO_TABLE)


def _understood(used: Mapping, tables: list[LotTable], gathered: Gathered, supplier: str) -> Mapping:
    """The mapping that reads this file as it was read."""
    named = [h.text for table in tables for h in table.headings if h.role in ("lot", "lot number")]
    return replace(
        used,
        supplier=used.supplier or supplier,
        headings_sha256="" if supplier or not tables else fingerprint(headings_of([table.sheet for table in tables])),
        sheet=used.sheet or (tables[0].sheet.name if len(tables) == 1 else ""),
        lots_are=tables[0].lots_are if tables else "",
        lot=used.lot or (named[0] if named else ""),
        ignore=tuple(dict.fromkeys((*used.ignore, *gathered.ignored))),
        columns=_by_heading(gathered.columns),
    )


def _by_heading(columns: list[Column]) -> tuple[Column, ...]:
    """The columns a mapping can name: one text that heads two different ones is left to the tables of headings."""
    kept: dict[str, set[Column]] = {}
    for column in columns:
        kept.setdefault(column.heading.casefold(), set()).add(column)
    return tuple(dict.fromkeys(c for c in columns if len(kept[c.heading.casefold()]) == 1))


def doubles(lots: list[Lot]) -> list[Problem]:
    """Two lots under one name, or one delivery entered twice; a list may hold two certificates of one delivery."""
    problems = []
    seen_id: dict[str, Address] = {}
    # Delivery -> file -> certificate -> its first lot.
    deliveries: dict[tuple[str, str, int | None], dict[str, dict[str, Lot]]] = {}
    for lot in lots:
        if lot.lot_id and lot.lot_id in seen_id:
            what = f"lot {lot.lot_id!r} is named again; it stands at {seen_id[lot.lot_id]} too."
            problems.append(Problem(lot.where, what, "Give each lot a name of its own."))
        seen_id.setdefault(lot.lot_id, lot.where)
        same = deliveries.setdefault(lot.identity.delivery, {})
        # A list that says of its lots which certificates they stood in may hold two certificates of one delivery.
        own = same.setdefault(lot.where.file, {})
        others = (one for file, first in same.items() if file != lot.where.file for one in first.values())
        twice = next(others, own.get(lot.certificate))
        if lot.lot_number and twice is not None:
            what = f"supplier, lot number and crop are those of {twice.where}."
            problems.append(Problem(lot.where, what, "Keep one row for each delivery."))
        own.setdefault(lot.certificate, lot)
    return problems
