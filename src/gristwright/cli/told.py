"""What was found in files, told once, at the place in the file: no fault that only follows from another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from gristwright.basics import Address, FieldPath, Problem
from gristwright.files.reading import Reading
from gristwright.records.enquiry import BillSheet, Enquiry
from gristwright.records.lot import Lot

# Where a record's field stands in a file: the beginning of its address -> the name of the file.
Files = Mapping[FieldPath, str]
# Under this name a command keeps them for whoever prints a refusal.
FILES = "gristwright.files"


def files_of(asked: Reading[Any]) -> Files:
    """The files of a bill, or of an enquiry with its plant and its present bill."""
    names = [path.name for path in asked.files]
    if isinstance(asked.value, Enquiry) and len(names) > 2:
        return {("enquiry", "present"): names[2], ("enquiry",): names[0], ("plant",): names[1]}
    return {("bill",): names[0], ("plant",): names[1]} if len(names) > 1 else {}


def placed(problem: Problem, files: Files) -> Problem:
    """A fault of a record, at its field in the file."""
    where = problem.address
    if where.file or where.row or not where.path:
        return problem
    begin = next((one for one in files if where.path[: len(one)] == one), None)
    if begin is None:
        return problem
    return replace(problem, where=Address(files[begin], path=where.path[len(begin) :]))


def all_told(
    asked: Reading[Any], lots: Reading[tuple[Lot, ...]], derived: Sequence[Problem], needed: set[str]
) -> list[Problem]:
    """The faults of the files, and those derived from what was read that do not merely follow from them.

    `needed` are the lots that were asked for.
    """
    read = [*asked.problems, *lots.problems]
    files = files_of(asked)
    faults = {problem.where for problem in read if not problem.warning}
    unopened = {p.address.file for p in read if not p.warning and not p.address.path}
    shares = {p.address.file for p in read if not p.warning and "shares" in p.address.path}
    named = {lot.lot_id for lot in lots.value or ()}
    blind = lots.faulty and not named & needed
    more = []
    for problem in (placed(one, files) for one in derived):
        where = problem.address
        follows = (
            problem.where in faults
            or where.path[-1:] == ("",)
            or where.file in unopened
            or (where.file in shares and "shares" in where.path)
            or (blind and ("no certificate" in problem.what))
        )
        if not follows:
            more.append(problem)
    return list(dict.fromkeys([*read, *more]))


def lots_asked_for(asked: Enquiry | BillSheet | None) -> set[str]:
    """The lots that a bill or an enquiry names."""
    if asked is None:
        return set()
    bill = asked.present if isinstance(asked, Enquiry) else asked.bill
    offered = {one.lot_id for one in asked.offered} if isinstance(asked, Enquiry) else set()
    return {share.lot_id for share in bill.shares} | offered
