"""Whose words a file of certificates is in: the supplier that it names, or its headings. See docs/certificates.md.

The desk remembers words under what is said here, and maps in a folder are found by it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from itertools import pairwise

from gristwright.files.cells import Sheet
from gristwright.files.certificates.table import SEARCHED_LINES
from gristwright.records.lot import Lot
from gristwright.reference.spelling import folded

HEADINGS = "headings "
# A name shorter than this is found in too many cells.
SHORTEST = 3


def key_of(supplier: str, sheets: Sequence[Sheet]) -> tuple[str, str]:
    """What the words of a file are kept under, and how that is called."""
    if supplier:
        return folded(supplier)[:200], supplier[:200]
    heads = headings_of(sheets)
    return HEADINGS + fingerprint(heads), f"files headed {', '.join(heads)}"[:200]


def fingerprint(headings: Sequence[str]) -> str:
    """The SHA-256 of a set of headings, whatever their order."""
    return hashlib.sha256(" | ".join(sorted(map(folded, headings))).encode()).hexdigest()


def supplier_of(lots: Sequence[Lot]) -> str:
    """The one supplier of all lots of a file; nothing when it names none, or several."""
    named = {folded(lot.supplier): lot.supplier for lot in lots if lot.supplier}
    return next(iter(named.values())) if len(named) == 1 else ""


def headings_of(sheets: Sequence[Sheet]) -> tuple[str, ...]:
    """The line of texts of a file that has the most of them: its headings, whether they are known or not."""
    lines: list[list[str]] = [
        [cell.text for cell in row if cell.text and cell.number is None and not cell.copied]
        for sheet in sheets
        for row in sheet.cells[:SEARCHED_LINES]
    ]
    longest: list[str] = max(lines, key=len, default=[])
    return tuple(longest)


def texts_of(sheets: Sequence[Sheet]) -> set[str]:
    """The texts of all cells, and of each with the one below it: a heading may stand in two lines."""
    texts = {folded(cell.text) for sheet in sheets for row in sheet.cells for cell in row if cell.text}
    for sheet in sheets:
        for above, below in pairwise(sheet.cells[:SEARCHED_LINES]):
            pairs = zip(above, below, strict=True)
            texts |= {folded(f"{a.text} {b.text}") for a, b in pairs if a.text and b.text and b.number is None}
    return texts


def names(texts: set[str], supplier: str) -> bool:
    """Whether a supplier, folded, is named in some cell, alone or behind a colon."""
    if supplier.startswith(HEADINGS) or len(supplier) < SHORTEST:
        return False
    return any(text == supplier or text.endswith(f": {supplier}") for text in texts)
