"""A certificate file read for a page: headings, faults cell by cell, the lots as they would be taken over."""

from __future__ import annotations

import datetime as dt
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone

from gristwright.basics import Problem, Refused
from gristwright.documents.certificate import LotSheet, lot_sheet
from gristwright.files.columns import Column, column_of
from gristwright.files.headings import read_heading
from gristwright.files.lot_lines import MAP_HINT
from gristwright.files.lots_in import Certificates, read_certificates
from gristwright.files.mapping import Mapping
from gristwright.files.sheets import TEXT_TYPES
from gristwright.records.lot import Analysis, Lot
from gristwright.reference import csv_rows
from gristwright.stages.grist.certificate_units import Field, fields
from gristwright.store.models import CertificateFile, Enquiry
from gristwright.workbench.mending import Place, mended, place_in, sheets_of, text_at

IGNORED = "-"


@dataclass(frozen=True)
class Fault:
    """A problem of a file, and the cell it can be mended in, when it names one."""

    problem: Problem
    place: Place | None
    text: str

    @property
    def way_out(self) -> str:
        """The way out in the words of this page."""
        return self.problem.way_out.replace(MAP_HINT, "Or say below what it is.")


@dataclass(frozen=True)
class Sheet:
    """Everything a page shows of a file."""

    faults: tuple[Fault, ...]
    remarks: tuple[Problem, ...]
    columns: tuple[Column, ...]
    unknown: tuple[str, ...]
    ignored: tuple[str, ...]
    lots: tuple[LotSheet, ...]

    @property
    def sound(self) -> bool:
        """Whether the lots may be taken over."""
        return not self.faults and bool(self.lots)


def receive(enquiry: Enquiry, name: str, content: bytes, owner: Any) -> CertificateFile:
    """Keep a file as it came. Raises Refused when it is no table at all."""
    if not name.lower().endswith((*TEXT_TYPES, ".xlsx", ".xls", ".toml")):
        what = "is not a table we read."
        raise Refused([Problem(name, what, "Send XLSX, XLS, CSV or TOML.")])
    if not name.lower().endswith(".toml"):
        sheets_of(name, content)
    return CertificateFile.objects.create(
        enquiry=enquiry, name=name[:200], received=content, content=content, sent_by=owner
    )


def read(file: CertificateFile, today: dt.date | None = None) -> Sheet:
    """The file as it stands now, with every fault."""
    found = _certificates(file)
    on = today or timezone.now().date()
    sheets = tuple(lot_sheet(lot, found.printed, on) for lot in found.reading.value or ())
    problems = list(dict.fromkeys([*found.reading.problems, *(p for sheet in sheets for p in sheet.problems)]))
    grid = [] if file.name.lower().endswith(".toml") else sheets_of(file.name, bytes(file.content))
    return Sheet(
        faults=tuple(_fault(problem, grid) for problem in problems if not problem.warning),
        remarks=tuple(problem for problem in problems if problem.warning),
        columns=found.mapping.columns,
        unknown=found.unknown,
        ignored=found.mapping.ignore,
        lots=sheets,
    )


def _fault(problem: Problem, grid: list[Any]) -> Fault:
    place = place_in(problem.where, grid)
    text = text_at(grid, place) if place else None
    return Fault(problem, place if text is not None else None, text or "")


def _certificates(file: CertificateFile) -> Certificates:
    with tempfile.TemporaryDirectory(prefix="gristwright-certificates-") as folder:
        path = Path(folder) / file.name
        path.write_bytes(bytes(file.content))
        return read_certificates(path, mapping_of(file))


def mapping_of(file: CertificateFile) -> Mapping:
    """What somebody said of headings nobody knew."""
    said = [(line["heading"], line["means"]) for line in file.headings]
    ignore = tuple(heading for heading, means in said if means == IGNORED)
    columns = tuple(column for heading, means in said if (column := column_for(heading, means)))
    return Mapping(ignore=ignore, columns=columns)


def column_for(heading: str, means: str) -> Column | None:
    """A heading as the field and unit chosen for it; None for no field."""
    name, _, unit = means.partition(" ")
    field = fields().get(name)
    if field is None or unit not in field.units:
        return None
    return Column(name, unit, field.basis, "", heading)


def heading_for(analysis: Analysis) -> str:
    """A heading the reader takes for this field, unit and basis; the field's title when it knows none."""
    basis = f" {analysis.basis}" if analysis.basis else ""
    named = [row["heading"] for row in csv_rows("tables/certificate_headings.csv") if row["field"] == analysis.field]
    texts = [f"{name}{basis} [{analysis.unit}]" for name in named]
    return next((text for text in texts if _means(text, analysis)), f"{fields()[analysis.field].title}{basis}")


def _means(text: str, analysis: Analysis) -> bool:
    try:
        column = column_of(read_heading(text), "", text)
    except Refused:
        return False
    return (column.field, column.unit, column.basis) == (analysis.field, analysis.unit, analysis.basis)


def meanings() -> list[tuple[str, str]]:
    """What a heading can mean: every field in every unit it has."""
    return [(f"{field.name} {unit}", _meaning(field, unit)) for field in fields().values() for unit in field.units]


def _meaning(field: Field, unit: str) -> str:
    return f"{field.title} [{unit}]"


@transaction.atomic
def mend(file: CertificateFile, texts: dict[Place, str], who: str) -> int:
    """Change cells, all of them or none, and say how many were changed. Raises Refused when one cannot be."""
    sheets = sheets_of(file.name, bytes(file.content))
    changed = 0
    for place, text in texts.items():
        before = text_at(sheets, place)
        if before is None or before == text.strip():
            continue
        file.content = mended(file.name, bytes(file.content), place, text.strip())
        told = {"cell": place.key, "from": before, "to": text.strip(), "who": who, "when": timezone.now().isoformat()}
        file.mends = [*file.mends, told]
        changed += 1
    if changed:
        file.save()
    return changed


def lots_in(file: CertificateFile) -> tuple[Lot, ...]:
    """The lots of a sound file. Raises Refused for a fault."""
    sheet = read(file)
    if not sheet.sound:
        raise Refused([fault.problem for fault in sheet.faults] or [Problem(file.name, "holds no lot.")])
    return tuple(found.lot for found in sheet.lots)
