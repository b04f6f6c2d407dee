"""Every reader of a file: an example of its kind is spoilt and read; what is accepted is written out and read back."""

from __future__ import annotations

import dataclasses
import io
import shutil
import zipfile
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import xlsxwriter
from hypothesis import strategies as st

from files.certificates.old_formats import old_workbook
from fuzz.drawing import edits, raw_edits
from fuzz.hostile import Edit, spoilt
from fuzz.watch import Found, look_at_sentence
from gristwright.basics import Problem, Refused
from gristwright.files import ladder_in
from gristwright.files.casks_in import read_casks
from gristwright.files.casks_out import casks_table
from gristwright.files.certificates import lots_table, read_lots, read_mapping
from gristwright.files.certificates.mapping import as_toml
from gristwright.files.climate_in import climates_from, read_climates
from gristwright.files.csv_out import csv_bytes
from gristwright.files.jobs_in import read_bill, read_enquiry
from gristwright.files.jobs_out import enquiry_files, known
from gristwright.files.plant_in import read_plant
from gristwright.files.rates_in import read_rates
from gristwright.files.zip_in import unpacked
from gristwright.records.enquiry import Enquiry
from gristwright.records.lot import Lot

EXAMPLES = Path(__file__).parents[2] / "examples"
SEEDS = Path(__file__).parent / "seeds"
HOUSES = (
    "all-malt-pot",
    "lauter-rests-sparge",
    "two-smokes",
    "strong-raw-barley-beer",
    "less-malt-for-maize",
    "all-rye",
)


@dataclasses.dataclass(frozen=True)
class Reader:
    """A reader: how a file is read, examples of it, and how what it gave is written and read again."""

    name: str
    read: Callable[[Path], Any]
    examples: tuple[str, ...]
    again: Callable[[Any, Path], None] | None = None


def _plant(path: Path) -> Any:
    problems: list[Problem] = []
    made = read_plant(path, problems)
    for problem in problems:
        look_at_sentence(problem.sentence())
    return made


def _enquiry(path: Path) -> Any:
    asked, lots = read_enquiry(path), read_lots(path.with_name("lots.csv"))
    told(asked)
    return asked.accepted(), lots.accepted()


def _enquiry_again(made: tuple[Enquiry, tuple[Lot, ...]], folder: Path) -> None:
    """The files of an enquiry are read again before they leave; a refusal there is a finding."""
    try:
        enquiry_files(*made)
    except Refused as refused:
        raise Found("accepted, and cannot be read back", str(refused)[:300]) from refused


def _lots_again(lots: tuple[Lot, ...], folder: Path) -> None:
    path = folder / "written.csv"
    path.write_bytes(csv_bytes(lots_table(lots)))
    reading = read_lots(path)
    if reading.faulty or reading.value is None:
        raise Found("accepted, and cannot be read back", "; ".join(p.sentence() for p in reading.problems)[:300])
    changed = [one.lot_id for one, two in zip(lots, reading.value, strict=False) if known(one) != known(two)]
    if changed or len(lots) != len(reading.value):
        raise Found("read back as something else", f"{len(lots)} lots, {len(reading.value)} read; {changed[:3]}")


def _map_again(mapping: Any, folder: Path) -> None:
    path = folder / "written.toml"
    path.write_text(as_toml(mapping), encoding="utf-8")
    reading = read_mapping(path)
    if reading.faulty or reading.value is None:
        raise Found("accepted, and cannot be read back", "; ".join(p.sentence() for p in reading.problems)[:300])


def _claim_again(table: Any, folder: Path) -> None:
    path = folder / "written.csv"
    path.write_bytes(csv_bytes(casks_table(table)))
    reading = ladder_in.read_casks(path, any(one.arm for one in (*table.samples, *table.scores)))
    if reading.faulty or reading.value is None:
        raise Found("accepted, and cannot be read back", "; ".join(p.sentence() for p in reading.problems)[:300])


def _ladder(path: Path) -> Any:
    return ladder_in.read_casks(path)


def _arms(path: Path) -> Any:
    return ladder_in.read_casks(path, arms=True)


def _words_of_climate(path: Path) -> Any:
    return climates_from(path.read_text(encoding="utf-8", errors="replace"))


def _zip(path: Path) -> Any:
    folder = path.parent / "unpacked"
    folder.mkdir()
    for name, content in unpacked(path.name, path.read_bytes()).items():
        (folder / name).write_bytes(content)
    return read_enquiry(folder / "enquiry.toml")


TABLES = tuple(f"{house}/lots.csv" for house in HOUSES)
READERS = (
    Reader("plant", _plant, tuple(f"{house}/plant.toml" for house in HOUSES[:5])),
    Reader("bill", read_bill, tuple(f"{house}/bill.toml" for house in HOUSES[:4])),
    Reader("enquiry", _enquiry, (*(f"{h}/enquiry.toml" for h in HOUSES), "all-malt-pot/dose.toml"), _enquiry_again),
    Reader("lots", read_lots, (*TABLES, "seeds/certificate.csv", "seeds/lots.toml"), _lots_again),
    Reader("map", read_mapping, ("seeds/map.toml",), _map_again),
    Reader("ladder", _ladder, ("ageing-programme/ladder.csv",), _claim_again),
    Reader("arms", _arms, ("ageing-programme/arms.csv",), _claim_again),
    Reader("casks", read_casks, ("cask-stock/casks.csv", "seeds/casks.csv")),
    Reader("rates", read_rates, ("cask-stock/rates.csv",)),
    Reader("climate", read_climates, ("cask-stock/store.csv",)),
    Reader("climate in words", _words_of_climate, ("seeds/climate.txt",)),
)
# The same tables as workbooks, each opened by a process of its own, and files packed together: slower, so drawn less.
PACKED = (
    Reader("lots, workbook", read_lots, (*TABLES, "seeds/certificate.csv"), _lots_again),
    Reader("casks, workbook", read_casks, ("seeds/casks.csv",)),
    Reader("ladder, workbook", _ladder, ("ageing-programme/ladder.csv",)),
    Reader("rates, workbook", read_rates, ("cask-stock/rates.csv",)),
    Reader("zip", _zip, tuple(f"{house}/enquiry.toml" for house in HOUSES[:4])),
)
BY_NAME = {reader.name: reader for reader in (*READERS, *PACKED)}


def path_of(example: str) -> Path:
    """Where an example lies."""
    return SEEDS / example.removeprefix("seeds/") if example.startswith("seeds/") else EXAMPLES / example


@cache
def content_of(example: str) -> bytes:
    """What an example holds; of a long one the beginning, which is as good to spoil and quicker to read."""
    lines = path_of(example).read_bytes().splitlines(keepends=True)
    return b"".join(lines[:40])


def cases(readers: Sequence[Reader] = READERS) -> st.SearchStrategy[dict[str, Any]]:
    """A reader, an example, another one to splice, edits of the text and, packed, of the bytes."""
    return st.sampled_from(readers).flatmap(
        lambda reader: st.fixed_dictionaries(
            {
                "reader": st.just(reader.name),
                "example": st.sampled_from(reader.examples),
                "other": st.sampled_from([e for one in READERS for e in one.examples]),
                "edits": edits(),
                "old": st.booleans() if reader in PACKED else st.just(False),
                "packed": st.one_of(st.just([]), st.just([]), raw_edits(2)) if reader in PACKED else st.just([]),
                "parts": st.one_of(st.just([]), edits(most=2)) if reader in PACKED else st.just([]),
            }
        )
    )


def run(case: dict[str, Any], folder: Path) -> str:
    """Read the spoilt file; "accepted" or "refused"."""
    reader = BY_NAME[case["reader"]]
    path = laid_out(case, folder, packed=reader in PACKED)
    try:
        made = reader.read(path)
        made = told(made) if hasattr(made, "problems") else made
    except Refused as refused:
        for problem in refused.problems:
            look_at_sentence(problem.sentence())
        return "refused"
    if reader.again:
        reader.again(made, folder)
    return "accepted"


def told(reading: Any) -> Any:
    """The value of a reading, its sentences looked at. Raises Refused."""
    for problem in reading.problems:
        look_at_sentence(problem.sentence())
    return reading.accepted()


def laid_out(case: dict[str, Any], folder: Path, packed: bool) -> Path:
    """The spoilt example among the files that it names."""
    example = path_of(case["example"])
    if not case["example"].startswith("seeds/") and "cask-stock" not in case["example"]:
        for beside in example.parent.iterdir():
            shutil.copy(beside, folder / beside.name)
    content = spoilt(content_of(case["example"]), case["edits"], content_of(case["other"]))
    path = folder / example.name
    path.write_bytes(content)
    if not packed:
        return path
    return _zipped(folder, case) if case["reader"] == "zip" else _workbook(path, case)


def _zipped(folder: Path, case: dict[str, Any]) -> Path:
    """The files of a folder in one ZIP."""
    path = folder / "sent.zip"
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for one in sorted(folder.iterdir()):
            archive.writestr(one.name, one.read_bytes())
    path.write_bytes(spoilt(made.getvalue(), case["packed"]))
    return path


def _workbook(path: Path, case: dict[str, Any]) -> Path:
    """A table as a workbook, old or new, its parts and its bytes spoilt."""
    rows = [_cells(line) for line in path.read_bytes().decode("utf-8", "replace").splitlines()[:200]]
    if case["old"]:
        content = old_workbook([[cell[:200] if isinstance(cell, str) else cell for cell in row] for row in rows])
    else:
        content = _parts_spoilt(_new_workbook(rows), case["parts"])
    path = path.with_suffix(".xls" if case["old"] else ".xlsx")
    path.write_bytes(spoilt(content, case["packed"]))
    return path


def _cells(line: str) -> list[str | float]:
    cells: list[str | float] = []
    for text in line.split(";" if line.count(";") > line.count(",") else ",")[:100]:
        try:
            number = float(text)
        except ValueError:
            number = float("nan")
        cells.append(number if number - number == 0.0 else text[:32_000])
    return cells


def _new_workbook(rows: list[list[str | float]]) -> bytes:
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}) as book:
        sheet = book.add_worksheet()
        for r, row in enumerate(rows):
            for c, cell in enumerate(row):
                sheet.write_number(r, c, cell) if isinstance(cell, float) else sheet.write_string(r, c, cell)
    return made.getvalue()


def _parts_spoilt(content: bytes, changes: list[Edit]) -> bytes:
    """A workbook whose sheet, or another of its parts, is spoilt as text."""
    if not changes:
        return content
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as book, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as anew:
        names = book.namelist()
        sheet = next(name for name in names if name.endswith("sheet1.xml"))
        spoiled = sheet if changes[0][2] % 2 else names[changes[0][2] % len(names)]
        for name in names:
            part = book.read(name)
            anew.writestr(name, spoilt(part, changes) if name == spoiled else part)
    return made.getvalue()
