"""Tables to take away as CSV: text that a spreadsheet would run as a formula is written as text."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from django.http import HttpResponse

RISKY = ("=", "+", "-", "@", "\t", "\r")


def safe(cell: object) -> object:
    """A number as it is; text that begins like a formula with an apostrophe in front, which spreadsheets hide."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(RISKY) else cell


def csv_file(name: str, heads: Sequence[object], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """A download in UTF-8 with its mark, so that spreadsheet programs read it as such."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([safe(head) for head in heads])
    writer.writerows([safe(cell) for cell in row] for row in rows)
    return download(name, text.getvalue().encode("utf-8-sig"), "text/csv; charset=utf-8")


def download(name: str, content: bytes, kind: str) -> HttpResponse:
    """Bytes to keep, never to be shown as a page of the desk."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(content, content_type=kind, headers=headers)
