"""The invented scenario of examples/all-malt-pot, loaded for tests: inputs here, never a test's truth."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

from gristwright import casework
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.records.enquiry import BillSheet, Enquiry
from gristwright.records.lot import Lot
from gristwright.records.results import Recommendation

FOLDER = Path(__file__).parents[1] / "examples" / "all-malt-pot"
MEMBERS = 512


@cache
def lots() -> tuple[Lot, ...]:
    return read_lots(FOLDER / "lots.csv").accepted()


@cache
def enquiry(name: str = "enquiry.toml") -> Enquiry:
    return read_enquiry(FOLDER / name).accepted()


@cache
def sheet() -> BillSheet:
    return read_bill(FOLDER / "bill.toml").accepted()


@cache
def answered(name: str = "enquiry.toml") -> Recommendation:
    return casework.advise(enquiry(name), lots(), members=MEMBERS)


def copied(folder: Path) -> Path:
    """The scenario's files in a folder of the test's own."""
    for path in FOLDER.iterdir():
        shutil.copy(path, folder / path.name)
    return folder
