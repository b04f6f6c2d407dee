"""Lots from CSV or TOML, units in the heading: every cell read, or a fault with its row, field, value and way out."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from gristwright.basics import Problem, Refused, Standing
from gristwright.files.reader import Table, as_number
from gristwright.files.reading import Reading
from gristwright.files.toml_in import open_table, read_bytes
from gristwright.quantities.units import find_unit, plain
from gristwright.records.lot import Analysis, Lot
from gristwright.reference import csv_rows

IDENTITY = ("lot", "material", "supplier", "lot number", "crop", "method", "note")
HEADING = re.compile(r"^\s*(?P<name>[^\[\]]+?)\s*(?:\[\s*(?P<unit>[^\[\]]*?)\s*\])?\s*$")


@dataclass(frozen=True)
class Column:
    """What one heading says: the certificate field and the unit of its cells."""

    field: str
    unit: str
    heading: str


def read_lots(path: Path) -> Reading[tuple[Lot, ...]]:
    """The lots of a file with every fault and warning; no lots at all when nothing could be read."""
    problems: list[Problem] = []
    try:
        lots = _from_toml(path, problems) if path.suffix.lower() == ".toml" else _from_csv(path, problems)
    except Refused as refused:
        return Reading(None, (path,), (*problems, *refused.problems))
    if not lots and not problems:
        problems.append(Problem(path.name, "holds no lot.", "Add one row for each lot."))
    problems += _doubles(lots, path.name)
    return Reading(tuple(lots), (path,), tuple(problems))


def _from_csv(path: Path, problems: list[Problem]) -> list[Lot]:
    raw = read_bytes(path, "lots file")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused([Problem(path.name, "is not a text file in UTF-8.", "Save it as CSV in UTF-8.")]) from None
    if "\0" in text:
        raise Refused([Problem(path.name, "is not a text file.", "Save the sheet as CSV in UTF-8.")])
    first = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise Refused([Problem(path.name, f"is not a table of cells ({error}).", "Save the sheet as CSV.")]) from None
    if not rows:
        return []
    columns = [read_heading(heading, f"{path.name}, heading {heading!r}", problems) for heading in rows[0]]
    return [
        _lot_from_cells(dict(zip(rows[0], row, strict=False)), columns, f"{path.name}, row {number}", problems)
        for number, row in enumerate(rows[1:], start=2)
        if any(cell.strip() for cell in row)
    ]


def _from_toml(path: Path, problems: list[Problem]) -> list[Lot]:
    top = open_table(path, "lots", problems)
    lots = []
    for table in top.tables("lot"):
        where = f"{path.name}, {table.prefix.rstrip('.')}"
        cells = {name: str(table.data[key]) for name in IDENTITY if (key := name.replace(" ", "_")) in table.data}
        analyses: Table = table.table("analyses", required=False)
        columns = [read_heading(heading, f"{where}, {heading!r}", problems) for heading in analyses.data]
        cells |= {heading: str(value) for heading, value in analyses.data.items()}
        table.nothing_else(name.replace(" ", "_") for name in IDENTITY)
        lots.append(_lot_from_cells(cells, columns, where, problems))
    top.nothing_else()
    return lots


def read_heading(heading: str, where: str, problems: list[Problem]) -> Column | None:
    """The field and unit a heading names; None for identity columns and after a fault."""
    match = HEADING.match(heading)
    name = re.sub(r"[\s_]+", " ", match["name"]).lower() if match else ""
    if not match or name in IDENTITY:
        if not match and heading.strip():
            problems.append(Problem(where, "cannot be read.", "Write it as: name [unit]."))
        return None
    row = next((row for row in csv_rows("tables/certificate_fields.csv") if name in row["headings"].split("|")), None)
    if row is None:
        known = ", ".join(r["headings"].split("|")[0] for r in csv_rows("tables/certificate_fields.csv"))
        problems.append(Problem(where, "is not a field we know.", f"Use one of: {', '.join(IDENTITY)}, {known}."))
        return None
    units = row["units"].split()
    example = f"{name} [{units[0]}]"
    if not match["unit"]:
        problems.append(Problem(where, "has no unit.", f"Write it in square brackets, such as: {example}."))
        return None
    try:
        unit = next((u for u in units if plain(u) == plain(match["unit"])), None) or find_unit(match["unit"]).name
    except Refused as refused:
        problems += [Problem(where, p.what, p.way_out) for p in refused.problems]
        return None
    if unit not in units:
        problems.append(Problem(where, f"unit {match['unit']!r} does not fit.", f"Use one of: {', '.join(units)}."))
        return None
    return Column(row["field"], unit, heading)


def _lot_from_cells(cells: dict[str, str], columns: list[Column | None], where: str, problems: list[Problem]) -> Lot:
    words = {re.sub(r"[\s_]+", " ", key).strip().lower(): (value or "").strip() for key, value in cells.items()}
    for needed in ("lot", "material"):
        if not words.get(needed):
            problems.append(Problem(f"{where}, {needed}", "is empty.", f"Give the {needed} of this row."))
    crop = words.get("crop", "")
    if crop and not re.fullmatch(r"(19|20)\d\d", crop):
        problems.append(Problem(f"{where}, crop", f"{crop!r} is not a year.", "Give the harvest year, such as 2025."))
        crop = ""
    method = words.get("method", "")
    analyses = [_analysis(cells, column, method, where, problems) for column in columns if column]
    return Lot(
        lot_id=words.get("lot", ""),
        material=words.get("material", ""),
        supplier=words.get("supplier", ""),
        lot_number=words.get("lot number", ""),
        crop=int(crop) if crop else None,
        analyses=tuple(a for a in analyses if a is not None),
        where=where,
    )


def _analysis(
    cells: dict[str, str], column: Column, method: str, where: str, problems: list[Problem]
) -> Analysis | None:
    text = (cells.get(column.heading) or "").strip()
    if text in ("", "-", "–", "n/a", "na"):
        return None
    place = f"{where}, {column.heading}"
    try:
        value = as_number(text)
    except Refused as refused:
        problems += [Problem(place, p.what, f"{p.way_out} Leave it empty if not measured.") for p in refused.problems]
        return None
    return Analysis(column.field, value, column.unit, method=method, standing=Standing.MEASURED, where=place)


def _doubles(lots: list[Lot], name: str) -> list[Problem]:
    """Two lots under one name, or one delivery entered twice."""
    problems, seen_id, seen_delivery = [], {}, {}  # type: ignore[var-annotated]
    for lot in lots:
        if lot.lot_id and lot.lot_id in seen_id:
            problems.append(
                Problem(lot.where, f"lot {lot.lot_id!r} is named again; it stands at {seen_id[lot.lot_id]} too.",
                        "Give each lot a name of its own.")
            )  # fmt: skip
        seen_id.setdefault(lot.lot_id, lot.where)
        delivery = (lot.supplier, lot.lot_number, lot.crop)
        if lot.lot_number and delivery in seen_delivery:
            problems.append(
                Problem(lot.where, f"supplier, lot number and crop are those of {seen_delivery[delivery]}.",
                        "Keep one row for each delivery.")
            )  # fmt: skip
        seen_delivery.setdefault(delivery, lot.where)
    return problems
