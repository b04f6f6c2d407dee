"""Tables to take away as CSV: text that a spreadsheet would run as a formula is written as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.http import HttpResponse

from gristwright.files.csv_out import csv_bytes


def csv_file(name: str, heads: Sequence[object], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """A download in UTF-8 with its mark, so that spreadsheet programs read it as such."""
    return download(name, csv_bytes([heads, *rows]), "text/csv; charset=utf-8")


def download(name: str, content: bytes, kind: str) -> HttpResponse:
    """Bytes to keep, never to be shown as a page of the desk."""
    name = "".join(c for c in name if c.isprintable() and c not in '"\\/') or "file"
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(content, content_type=kind, headers=headers)
