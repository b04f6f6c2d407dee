"""Workbooks: values as stored, with formulas never computed, merged cells and hidden sheets noticed. Files from outside
are measured before a library opens them."""

from __future__ import annotations

import datetime as dt
import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from gristwright.basics import Problem, Refused
from gristwright.files.cells import Cell, Sheet, rectangle, spread

MOST_UNPACKED = 20_000_000
MOST_PARTS = 500
MOST_CELLS = 200_000
MOST_SHEETS = 50
_CELL, _MERGED = re.compile(rb"<c[\s>]"), re.compile(rb'<mergeCell[^>]*\bref="([A-Z]+)(\d+):([A-Z]+)(\d+)"')
_ADDRESS = re.compile(rb'<c[^>]*?\br="([A-Z]+)(\d+)"')
NOT_COMPUTED = "holds a formula whose value was never computed"
LOCKED = "is protected by a password."
DAMAGED = "is damaged or not a workbook."
SAVE_AGAIN = "Open it, save it as XLSX and send that."


@dataclass
class Marks:
    """What the values alone do not show of one sheet, by (row, column)."""

    formulas: dict[tuple[int, int], str] = field(default_factory=dict)
    percent: set[tuple[int, int]] = field(default_factory=set)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)


def read_workbook(name: str, raw: bytes, zipped: bool, problems: list[Problem]) -> list[Sheet]:
    """The visible sheets of a workbook. Raises Refused when it is locked, damaged, too large or has no cells."""
    marks: dict[str, Marks] = {}
    if zipped:
        _measure(name, raw)
        marks = _marks(name, raw)
    elif "EncryptedPackage".encode("utf-16-le") in raw:
        raise Refused([Problem(name, LOCKED, "Take the password off and save it again.")])
    elif not any(word.encode("utf-16-le") in raw for word in ("Workbook", "Book")):
        raise Refused([Problem(name, "is an old office file, but no workbook.", SAVE_AGAIN)])
    sheets = list(_sheets(name, raw, marks, problems))
    if not any(cell.filled for sheet in sheets for row in sheet.cells for cell in row):
        raise Refused([Problem(name, "has no filled cell in a visible sheet; it holds no lot.", "Add the lots.")])
    return sheets


def _too_large(name: str, what: str) -> Refused:
    return Refused([Problem(name, what, "Send the sheet with the lots alone.")])


def _measure(name: str, raw: bytes) -> None:
    """Unpack every part once against the limits: sizes, cells, far-off addresses, merged areas, entities."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as package:
            parts = package.infolist()
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
                raise _too_large(name, f"unpacks to more than {MOST_UNPACKED // 1_000_000} MB.")
            if "xl/workbook.xml" not in package.namelist():
                raise Refused([Problem(name, "is a zip file, but no XLSX workbook.", SAVE_AGAIN)])
            for part in parts:
                _measure_part(name, package.read(part))
    except (zipfile.BadZipFile, OSError, ValueError, EOFError, NotImplementedError, RuntimeError) as error:
        locked = isinstance(error, RuntimeError) and "password" in str(error)
        raise Refused([Problem(name, LOCKED if locked else DAMAGED, SAVE_AGAIN)]) from None
    except zipfile.zlib.error:  # type: ignore[attr-defined]
        raise Refused([Problem(name, DAMAGED, SAVE_AGAIN)]) from None


def _measure_part(name: str, data: bytes) -> None:
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        raise Refused([Problem(name, "declares entities, which no workbook needs.", SAVE_AGAIN)])
    corners = [(_column(a), int(b)) for a, b in _ADDRESS.findall(data)]
    area = max((c for c, _ in corners), default=0) * max((r for _, r in corners), default=0)
    if area > MOST_CELLS or len(_CELL.findall(data)) > MOST_CELLS:
        raise _too_large(name, f"has a sheet of more than {MOST_CELLS} cells.")
    merged = [(_column(c) - _column(a) + 1) * (int(d) - int(b) + 1) for a, b, c, d in _MERGED.findall(data)]
    if sum(merged) > MOST_CELLS:
        raise _too_large(name, f"merges more than {MOST_CELLS} cells.")


def _column(text: bytes) -> int:
    number = 0
    for byte in text[:4]:
        number = number * 26 + byte - 64
    return number


def _marks(name: str, raw: bytes) -> dict[str, Marks]:
    """Formulas, percent formats and merged ranges of every sheet, by sheet name."""
    import openpyxl

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(raw))
            recomputed = bool(book.calculation and book.calculation.fullCalcOnLoad)
            return {sheet.title: _marks_of(sheet, recomputed) for sheet in book.worksheets}
    except Exception:
        raise Refused([Problem(name, DAMAGED, SAVE_AGAIN)]) from None


def _marks_of(sheet: Any, recomputed: bool) -> Marks:
    marks = Marks(merged=[(r.min_row, r.min_col, r.max_row, r.max_col) for r in sheet.merged_cells.ranges])
    for row in sheet.iter_rows():
        for cell in row:
            if cell.data_type == "f":
                marks.formulas[cell.row, cell.column] = "recomputed" if recomputed else "stored"
            elif cell.value is not None and "%" in str(cell.number_format):
                marks.percent.add((cell.row, cell.column))
            if cell.data_type == "f" and "%" in str(cell.number_format):
                marks.percent.add((cell.row, cell.column))
    return marks


def _sheets(name: str, raw: bytes, marks: dict[str, Marks], problems: list[Problem]) -> Iterator[Sheet]:
    import python_calamine

    try:
        book = python_calamine.load_workbook(io.BytesIO(raw))
        tables = [sheet for sheet in book.sheets_metadata if sheet.typ == python_calamine.SheetTypeEnum.WorkSheet]
        for info in tables[:MOST_SHEETS]:
            if info.visible != python_calamine.SheetVisibleEnum.Visible:
                problems.append(Problem(f"{name}, sheet {info.name}", "is hidden and was not read.", "", True))
                continue
            sheet = book.get_sheet_by_name(info.name)
            if sheet.total_height * sheet.total_width > MOST_CELLS:
                raise _too_large(name, f"has a sheet of more than {MOST_CELLS} cells.")
            own = marks.get(info.name) or Marks(merged=_old_merges(sheet))
            yield Sheet(name, info.name, _grid(sheet.to_python(skip_empty_area=False), own))
    except python_calamine.PasswordError:
        raise Refused([Problem(name, LOCKED, "Take the password off and save it again.")]) from None
    except (python_calamine.CalamineError, ValueError, OSError):
        raise Refused([Problem(name, DAMAGED, SAVE_AGAIN)]) from None


def _old_merges(sheet: Any) -> list[tuple[int, int, int, int]]:
    return [(a + 1, b + 1, c + 1, d + 1) for (a, b), (c, d) in sheet.merged_cell_ranges or ()]


def _grid(values: list[list[Any]], marks: Marks) -> tuple[tuple[Cell, ...], ...]:
    # A formula without a value may lie beyond the last value that was stored.
    height = max([len(values), *(row for row, _ in marks.formulas)])
    width = max([len(values[0]) if values else 0, *(column for _, column in marks.formulas)])
    rows = [[_cell(_at(values, r, c), r + 1, c + 1, marks) for c in range(width)] for r in range(height)]
    spread(rows, marks.merged)
    return rectangle(rows)


def _at(values: list[list[Any]], row: int, column: int) -> Any:
    return values[row][column] if row < len(values) and column < len(values[row]) else ""


def _cell(value: Any, row: int, column: int, marks: Marks) -> Cell:
    formula = marks.formulas.get((row, column))
    if formula and (value in ("", None) or (formula == "recomputed" and value == 0)):
        return Cell(row, column, "formula", fault=NOT_COMPUTED)
    if isinstance(value, bool):
        return Cell(row, column, "true" if value else "false")
    if isinstance(value, int | float):
        return _number(float(value), row, column, (row, column) in marks.percent)
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        shown = value.date() if isinstance(value, dt.datetime) else value
        fault = f"'{shown}' is a date; a figure such as 4.5 may have been turned into one"
        return Cell(row, column, str(shown), fault=fault)
    return Cell(row, column, str(value or "").strip())


def _number(value: float, row: int, column: int, percent: bool) -> Cell:
    """A number as a person sees it: a percent format shows a hundred times what is stored."""
    value = round(value * 100.0, 10) if percent else value
    return Cell(row, column, f"{value:.12g}", number=float(f"{value:.12g}"), unit="%" if percent else "")
