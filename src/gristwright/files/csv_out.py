"""Rows as a CSV file in which no spreadsheet runs a text as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from gristwright.files.formulas import neutral


def safe(cell: object) -> object:
    """A number as it is; text so that no spreadsheet runs it, see `formulas`."""
    return neutral(cell) if isinstance(cell, str) else cell


def csv_text(rows: Iterable[Sequence[object]], line_end: str = "\n") -> str:
    """Rows with commas."""
    text = io.StringIO()
    csv.writer(text, lineterminator=line_end).writerows([safe(cell) for cell in row] for row in rows)
    return text.getvalue()


def csv_bytes(rows: Iterable[Sequence[object]]) -> bytes:
    """Rows in UTF-8 with its mark, so that spreadsheet programs read it as such."""
    return csv_text(rows, "\r\n").encode("utf-8-sig")
