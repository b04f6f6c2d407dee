"""Rows as a CSV file in which no spreadsheet runs a text as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

RISKY = ("=", "+", "-", "@", "\t", "\r")


def safe(cell: object) -> object:
    """A number as it is; text that begins like a formula with an apostrophe in front, which spreadsheets hide."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(RISKY) else cell


def csv_bytes(rows: Iterable[Sequence[object]]) -> bytes:
    """Rows in UTF-8 with its mark, so that spreadsheet programs read it as such."""
    text = io.StringIO()
    csv.writer(text).writerows([safe(cell) for cell in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")
