"""How much an enquiry of the desk has room for, so that each of its pages stays quick. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import PurePosixPath

from django.db import models

from gristwright.basics import Address, Problem, at
from gristwright.files.cells import Sheet
from gristwright.files.texts import file_name_problems, named
from gristwright.quantities.units import begun
from gristwright.records.lot import Lot
from gristwright.store.models.enquiries import LONGEST_NAME

# The page of a bill draws every lot: with so many it takes about two seconds of work.
MOST_LOTS = 200
MOST_ASKED = 50
MOST_GROUPS = 50
MOST_ROWS = 2000
MOST_CELL = 2000
MOST_NAME_BYTES = 200
LONGEST = {"supplier": 200, "lot_number": 200}


def lots_problems(kept: int, new: int) -> list[Problem]:
    """More lots than an enquiry has room for."""
    if kept + new <= MOST_LOTS:
        return []
    here = f" {kept} are here," if kept else ""
    what = f"{here} {new} would be added; an enquiry of the desk has room for {MOST_LOTS} lots.".strip()
    return [Problem(at("lots"), what, f"Send {max(MOST_LOTS - kept, 0)} at most, or delete lots that nobody needs.")]


def name_problems(lots: Iterable[Lot]) -> list[Problem]:
    """What a lot is known by, where it is longer than the desk keeps it."""
    problems = []
    for lot in lots:
        for field, longest in {"lot_id": LONGEST_NAME, **LONGEST}.items():
            text = str(getattr(lot, field))
            if len(text) > longest:
                what = f"“{begun(text)}” has {len(text)} characters; there is room for {longest}."
                problems.append(Problem(at("lot", begun(lot.lot_id), field), what, "Shorten it."))
    return problems


def row_problems(row: models.Model, where: Address) -> list[Problem]:
    """Texts of a row that came in a file and are longer than the desk keeps them."""
    problems = []
    for field in row._meta.concrete_fields:
        text = getattr(row, field.attname)
        longest = getattr(field, "max_length", None)
        if isinstance(text, str) and longest and len(text) > longest:
            what = f"“{begun(text)}” has {len(text)} characters; there is room for {longest}."
            problems.append(Problem(where.to(field.name), what, "Shorten it."))
    return problems


def sheet_problems(sheets: Sequence[Sheet]) -> list[Problem]:
    """A table longer than the desk shows, and cells that hold more than a page can."""
    problems = []
    for sheet in sheets:
        if len(sheet.cells) > MOST_ROWS:
            what = f"has {len(sheet.cells)} rows; the desk reads {MOST_ROWS}."
            problems.append(Problem(sheet.where, what, "Send the lots of this enquiry alone."))
            continue
        long = (cell for row in sheet.cells for cell in row if len(cell.text) > MOST_CELL)
        for cell in long:
            what = f"holds {len(cell.text)} characters; a page has room for {MOST_CELL}."
            problems.append(Problem(sheet.place(cell), what, "Shorten it."))
    return problems


def sent_name_problems(name: str) -> list[Problem]:
    """A name of a file that was sent and that no folder could hold, or no page could show."""
    where = Address(named(begun(name)))
    if not name.strip(" .") or name != PurePosixPath(name).name or PurePosixPath(name).stem.startswith("."):
        return [Problem(where, "has no name that a file can have.", "Give the file a name, such as lots.csv.")]
    size = len(name.encode(errors="surrogateescape"))
    if size > MOST_NAME_BYTES:
        what = f"the name is {size} bytes long; {MOST_NAME_BYTES} can be kept."
        return [Problem(where, what, "Give the file a shorter name.")]
    return file_name_problems(name)
