"""A certificate file read for a page: headings, faults cell by cell, the lots as they would be taken over."""

from __future__ import annotations

import datetime as dt
import tempfile
from collections import Counter
from collections.abc import Mapping as Pairs
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from gristwright.basics import Address, Problem, Refused, refuse_if_any
from gristwright.documents.certificate import LotSheet, lot_sheet
from gristwright.files.certificates import (
    MAP_HINT,
    Certificates,
    Column,
    Mapping,
    read_certificates,
)
from gristwright.files.sheets import TEXT_TYPES
from gristwright.files.texts import file_name_problems
from gristwright.records.lot import Lot
from gristwright.stages.grist.certificate_units import Field, fields
from gristwright.store.models import CertificateFile, EnquiryRow
from gristwright.workbench.faults import cell_id
from gristwright.workbench.mending import Place, Typed, mended_cells, place_in, sheets_of, text_at
from gristwright.workbench.turns import turn

IGNORED = "-"


@dataclass(frozen=True)
class Fault:
    """A problem of a file, and the cell it can be mended in, when it names one."""

    problem: Problem
    place: Place | None
    text: str
    id: str = ""  # of the cell's field on the page

    @property
    def way_out(self) -> str:
        """The way out in the words of this page."""
        return self.problem.way_out.replace(MAP_HINT, "Or say below what it is.")


@dataclass(frozen=True)
class FileSheet:
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


def receive(enquiry: EnquiryRow, name: str, content: bytes, owner: User) -> CertificateFile:
    """Keep a file as it came. Raises Refused when it is no table at all, or has a name that cannot be printed."""
    refuse_if_any(file_name_problems(name))
    if not name.lower().endswith((*TEXT_TYPES, ".xlsx", ".xls", ".toml")):
        what = "is not a table we read."
        raise Refused([Problem(Address(name), what, "Send XLSX, XLS, CSV or TOML.")])
    if not name.lower().endswith(".toml"):
        sheets_of(name, content)
    return CertificateFile.objects.create(
        enquiry=enquiry, name=name[:200], received=content, content=content, sent_by=owner
    )


def read(file: CertificateFile, today: dt.date | None = None) -> FileSheet:
    """The file as it stands now, with every fault."""
    certificates = _certificates(file)
    on = today or timezone.localdate()
    sheets = tuple(lot_sheet(lot, certificates.printed, on) for lot in certificates.reading.value or ())
    problems = list(dict.fromkeys([*certificates.reading.problems, *(p for sheet in sheets for p in sheet.problems)]))
    grid = [] if file.name.lower().endswith(".toml") else sheets_of(file.name, bytes(file.content))
    return FileSheet(
        faults=_with_ids([_fault(problem, grid) for problem in problems if not problem.warning]),
        remarks=tuple(problem for problem in problems if problem.warning),
        columns=certificates.mapping.columns,
        unknown=certificates.unknown,
        ignored=certificates.mapping.ignore,
        lots=sheets,
    )


def _fault(problem: Problem, grid: list[Any]) -> Fault:
    place = place_in(problem.address, grid)
    text = text_at(grid, place) if place else None
    return Fault(problem, place if text is not None else None, text or "")


def _with_ids(faults: list[Fault]) -> tuple[Fault, ...]:
    """Each fault with the id of its cell's field; the second fault of a cell has a field of its own."""
    seen: Counter[str] = Counter()
    with_ids = []
    for fault in faults:
        cell = cell_id(fault.place.of("")) if fault.place else ""
        seen[cell] += 1
        with_ids.append(replace(fault, id=f"{cell}-again-{seen[cell]}" if seen[cell] > 1 else cell))
    return tuple(with_ids)


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


def meanings() -> list[tuple[str, str]]:
    """What a heading can mean: every field in every unit it has."""
    return [(f"{field.name} {unit}", _meaning(field, unit)) for field in fields().values() for unit in field.units]


def _meaning(field: Field, unit: str) -> str:
    return f"{field.title} [{unit}]"


@turn()
def mend(
    sent: CertificateFile, typed: Pairs[Place, Typed], who: str, said: Pairs[str, str] | None = None
) -> tuple[int, list[Problem]]:
    """Change cells and say what headings mean, in the file as it stands now; how many were changed, and which were not
    because somebody else had mended them since they were seen. Raises Refused, and changes nothing, when one cannot be.
    """
    file = CertificateFile.objects.get(pk=sent.pk)
    sheets = sheets_of(file.name, bytes(file.content)) if typed else []
    before = {place: text for place in typed if (text := text_at(sheets, place)) is not None}
    changed = [place for place, text in before.items() if typed[place].over(text)]
    taken = [place for place in changed if typed[place].late(before[place])]
    texts = {place: typed[place].text.strip() for place in changed if place not in taken}
    if texts:
        file.content = mended_cells(file.name, bytes(file.content), sheets, texts)
        file.mends = [*file.mends, *(_told(place, before[place], text, who) for place, text in texts.items())]
    if said:
        file.headings = [line for line in file.headings if line["heading"] not in said]
        file.headings += [{"heading": heading, "means": means} for heading, means in said.items()]
    if texts or said:
        file.save(update_fields=["content", "mends", "headings"])
    return len(texts) + len(said or ()), [_taken(file, place, before[place], typed[place].text) for place in taken]


def _told(place: Place, before: str, text: str, who: str) -> dict[str, str]:
    """A mended cell as the file keeps it."""
    return {"cell": place.key, "from": before, "to": text, "who": who, "when": timezone.now().isoformat()}


def _taken(file: CertificateFile, place: Place, now: str, text: str) -> Problem:
    """What is said to somebody whose cell another mended meanwhile."""
    whose = next((mend["who"] for mend in reversed(file.mends) if mend["cell"] == place.key), "somebody")
    what = f"was mended to {now!r} by {whose} meanwhile, so your {text.strip()!r} was not put there."
    return Problem(place.of(file.name), what, "Mend it in the file if that is wrong.", warning=True)


def lots_in(file: CertificateFile) -> tuple[Lot, ...]:
    """The lots of a sound file. Raises Refused for a fault."""
    sheet = read(file)
    if not sheet.sound:
        raise Refused([fault.problem for fault in sheet.faults] or [Problem(Address(file.name), "holds no lot.")])
    return tuple(lots_read.lot for lots_read in sheet.lots)
