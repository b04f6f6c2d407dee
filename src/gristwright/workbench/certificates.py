"""A certificate file read for a page: headings, faults cell by cell, the lots as they would be taken over."""

from __future__ import annotations

import datetime as dt
import tempfile
import uuid
from collections import Counter
from collections.abc import Mapping as Pairs
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeAlias

from django.contrib.auth.models import User
from django.utils import timezone

from gristwright.basics import Address, Problem, Refused, refuse_if_any
from gristwright.documents.certificate import LotSheet, lot_sheet
from gristwright.files.cells import Sheet
from gristwright.files.certificates import MAP_HINT, Certificates, Column, read_certificates, supplier_of
from gristwright.files.sheets import TEXT_TYPES
from gristwright.files.texts import file_name_problems, text_problems
from gristwright.records.lot import Lot
from gristwright.store.models import CertificateFile, EnquiryRow, FileStanding
from gristwright.workbench import remembering, room
from gristwright.workbench.asking import Ask, Asker
from gristwright.workbench.explaining import (
    CONSTANT,
    FORGOTTEN,
    HEADING,
    MATERIAL,
    METHOD,
    Explained,
    mapping_of,
    said_in,
    will_do,
)
from gristwright.workbench.faults import cell_id
from gristwright.workbench.mending import Place, Typed, mended_cells, sheets_of, text_at
from gristwright.workbench.turns import refuse_if_gone, turn

# What each word, by its kind, meant when a page was shown.
Stood: TypeAlias = Pairs[tuple[str, str], str]


@dataclass(frozen=True)
class Fault:
    """A problem of a file, the cell it can be mended in when it names one, and what can be said instead."""

    problem: Problem
    place: Place | None
    text: str
    id: str = ""  # of the field on the page that mends it
    asks: tuple[Ask, ...] = ()

    @property
    def way_out(self) -> str:
        """The way out in the words of this page."""
        kinds = {ask.what for ask in self.asks}
        if MATERIAL in kinds or (HEADING in kinds and MAP_HINT in self.problem.way_out):
            return "Mend it, or choose what it is."
        return self.problem.way_out.replace(MAP_HINT, "Or say here what it is.")


@dataclass(frozen=True)
class FileSheet:
    """Everything a page shows of a file."""

    faults: tuple[Fault, ...]
    remarks: tuple[Problem, ...]
    columns: tuple[Column, ...]
    unknown: tuple[str, ...]
    ignored: tuple[Explained, ...]
    said: tuple[Explained, ...]
    methods: dict[str, str]  # of each heading that is read, as somebody said
    unsaid: tuple[Explained, ...]  # what no lot of the file says
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
        refuse_if_any(room.sheet_problems(sheets_of(name, content)))
    file = CertificateFile(enquiry=enquiry, name=name[:200], received=content, content=content, sent_by=owner)
    file.headings = [one.line for one in _recalled(file)]
    stands = _standing(file)
    with turn():
        refuse_if_gone(enquiry)
        file.save()
        FileStanding.objects.create(file=file, **stands)
    return file


def _standing(file: CertificateFile) -> dict[str, int]:
    """How a file stands, for the list of files."""
    sheet = read(file)
    return {"faults": len(sheet.faults), "lots": len(sheet.lots)}


def _stand(key: uuid.UUID) -> None:
    """Read a file again. One that was mended meanwhile is left to whoever mended it, who reads it after that."""
    file = CertificateFile.objects.filter(pk=key).first()
    if file is None:
        return
    stands = _standing(file)
    with turn():
        now = CertificateFile.objects.filter(pk=key).first()
        if now and (bytes(now.content), now.headings) == (bytes(file.content), file.headings):
            FileStanding.objects.update_or_create(file=file, defaults=stands)


def _recalled(file: CertificateFile) -> list[Explained]:
    """What is remembered of a file's words and nobody said of it."""
    known = {(one.what, one.word) for one in said_in(file.headings)}
    return [one for one in remembering.recalled(grid_of(file)) if (one.what, one.word) not in known]


def grid_of(file: CertificateFile) -> list[Sheet]:
    """The sheets of a file as it stands now; none of a TOML file."""
    return [] if file.name.lower().endswith(".toml") else sheets_of(file.name, bytes(file.content))


def _grid_now(file: CertificateFile, problems: list[Problem]) -> list[Sheet]:
    """The sheets; none, and the reason among the problems, where the file cannot be opened just now."""
    try:
        return grid_of(file)
    except Refused as refused:
        problems += [problem for problem in refused.problems if problem not in problems]
        return []


def read(file: CertificateFile, today: dt.date | None = None) -> FileSheet:
    """The file as it stands now, with every fault."""
    certificates = _certificates(file)
    on = today or timezone.localdate()
    sheets = tuple(lot_sheet(lot, certificates.printed, on) for lot in certificates.reading.value or ())
    problems = list(dict.fromkeys([*certificates.reading.problems, *(p for sheet in sheets for p in sheet.problems)]))
    said = said_in(file.headings)
    ignored = [word for word in certificates.mapping.ignore if word not in {one.word for one in said}]
    asker = Asker(certificates, grid := _grid_now(file, problems), ignored)
    return FileSheet(
        faults=_with_ids([_fault(problem, grid, asker) for problem in problems if not problem.warning]),
        remarks=tuple(problem for problem in problems if problem.warning),
        columns=certificates.mapping.columns,
        unknown=certificates.unknown,
        ignored=tuple(Explained(HEADING, word, "") for word in ignored),
        said=tuple(one for one in said if one.what != METHOD),
        methods={one.word: one.means for one in said if one.what == METHOD},
        unsaid=_unsaid([sheet.lot for sheet in sheets], said),
        lots=sheets,
    )


def _unsaid(lots: Sequence[Lot], said: Sequence[Explained]) -> tuple[Explained, ...]:
    """The supplier, where no lot of a file names one."""
    named = any(lot.supplier for lot in lots) or any(one.word == "supplier" for one in said)
    return () if named or not lots else (Explained(CONSTANT, "supplier", ""),)


def _fault(problem: Problem, grid: list[Sheet], asker: Asker) -> Fault:
    asked = asker.of(problem)
    text = text_at(grid, asked.place) if asked.place else None
    if not text and asked.asks:
        # What is wrong stands in another cell, or in none.
        return Fault(problem, None, "", asks=asked.asks)
    return Fault(problem, asked.place if text is not None else None, text or "", asks=asked.asks)


def _with_ids(faults: list[Fault]) -> tuple[Fault, ...]:
    """Each fault with the id of its cell's field; the second fault of a cell has a field of its own."""
    seen: Counter[str] = Counter()
    with_ids = []
    for fault in faults:
        cell = cell_id(fault.place.of("")) if fault.place else ""
        if not cell:
            with_ids.append(replace(fault, id=next((ask.id for ask in fault.asks), "")))
            continue
        seen[cell] += 1
        with_ids.append(replace(fault, id=f"{cell}-again-{seen[cell]}" if seen[cell] > 1 else cell))
    return tuple(with_ids)


def _certificates(file: CertificateFile) -> Certificates:
    with tempfile.TemporaryDirectory(prefix="gristwright-certificates-") as folder:
        path = Path(folder) / file.name
        path.write_bytes(bytes(file.content))
        return read_certificates(path, mapping_of(said_in(file.headings)))


def mend(
    sent: CertificateFile,
    typed: Pairs[Place, Typed],
    who: str,
    said: Sequence[Explained] = (),
    stood: Stood | None = None,
) -> tuple[int, list[Problem]]:
    """Change cells and say what words mean, in the file as it stands now; how many were changed, and which were not
    because somebody else had mended or said them since they were seen (`stood`: what each word meant then). Raises
    Refused, and changes nothing, when one cannot be.
    """
    done, remarks, moved = _mend(sent, typed, who, said, stood)
    # Read again when the turn is over: others wait for it, and a workbook takes its time.
    for key in moved:
        _stand(key)
    return done, remarks


@turn()
def _mend(
    sent: CertificateFile, typed: Pairs[Place, Typed], who: str, said: Sequence[Explained], stood: Stood | None
) -> tuple[int, list[Problem], list[uuid.UUID]]:
    """The same, and which files do not stand as they stood."""
    refuse_if_gone(sent)
    file = CertificateFile.objects.get(pk=sent.pk)
    sheets = sheets_of(file.name, bytes(file.content)) if typed else []
    before = {place: text for place in typed if (text := text_at(sheets, place)) is not None}
    changed = [place for place, text in before.items() if typed[place].over(text)]
    taken = [place for place in changed if typed[place].late(before[place])]
    texts = {place: typed[place].text.strip() for place in changed if place not in taken}
    if texts:
        file.content = mended_cells(file.name, bytes(file.content), sheets, texts)
        file.mends = [*file.mends, *(_told(place, before[place], text, who) for place, text in texts.items())]
    refuse_if_any([problem for one in said for problem in text_problems(one.means, one.shown)])
    fresh = _fresh(file, said)
    late = _late(file, fresh, stood)
    fresh = [one for one in fresh if one not in late]
    file.headings = _with_said(file, fresh, who)
    if texts or fresh:
        file.save(update_fields=["content", "mends", "headings"])
    moved = [file.pk, *_learn(file, fresh, who)] if texts or fresh else []
    remarks = [_taken(file, place, before[place], typed[place].text) for place in taken]
    return len(texts) + len(fresh), [*remarks, *(_said_since(file, one) for one in late)], moved


def _fresh(file: CertificateFile, said: Sequence[Explained]) -> list[Explained]:
    """What is said now and was not so before, each word once."""
    known = {(one.what, one.word): one.means for one in said_in(file.headings)}
    asked = {(one.what, one.word): one for one in said if will_do(one)}
    return [one for key, one in asked.items() if known.get(key, FORGOTTEN) != one.means]


def _late(file: CertificateFile, fresh: Sequence[Explained], stood: Stood | None) -> list[Explained]:
    """What means something else in the file by now than the person saw."""
    now = {(one.what, one.word): one.means for one in said_in(file.headings)}
    keys = [(one, (one.what, one.word)) for one in fresh] if stood is not None else []
    return [one for one, key in keys if now.get(key, "") != (stood or {}).get(key, "")]


def _said_since(file: CertificateFile, yours: Explained) -> Problem:
    """What is said to somebody whose word another explained meanwhile."""
    told = zip(said_in(file.headings), file.headings, strict=True)
    now = next(
        ((one.told, line.get("who")) for one, line in told if (one.what, one.word) == (yours.what, yours.word)), None
    )
    means, whose = now or ("nothing any more", None)
    what = f"“{yours.shown}” was set to {means} by {whose or 'somebody'} meanwhile and stays so."
    return Problem(Address(file.name), what, "Change it below if that is wrong.", warning=True)


def _with_said(file: CertificateFile, fresh: Sequence[Explained], who: str) -> list[dict[str, str]]:
    """The lines of what was said of a file, those of now with who said it and when."""
    words, now = {(one.what, one.word) for one in fresh}, timezone.now().isoformat()
    before = zip(said_in(file.headings), file.headings, strict=True)
    kept = [line for one, line in before if (one.what, one.word) not in words]
    return [*kept, *({**one.line, "who": who, "when": now} for one in fresh if one.means != FORGOTTEN)]


def _learn(file: CertificateFile, said: Sequence[Explained], who: str) -> list[uuid.UUID]:
    """Remember what was said, and put it to the other files that wait; which of them read otherwise now."""
    if not said:
        return []
    lots = _certificates(file).reading.value or ()
    told = any(one.what == CONSTANT and one.word == "supplier" for one in said_in(file.headings))
    remembering.remember(said, "" if told else supplier_of(lots), grid_of(file), who)
    moved = []
    for other in file.enquiry.certificate_files.filter(taken_at=None).exclude(pk=file.pk):
        fresh = _recalled(other)
        if fresh:
            other.headings = [*other.headings, *(one.line for one in fresh)]
            other.save(update_fields=["headings"])
            moved.append(other.pk)
    return moved


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
