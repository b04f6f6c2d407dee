"""A table written as text, cut into rows of cells: for certificates, rates, climates and ladders. See docs/files.md."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from gristwright.basics import Address, Problem, Refused
from gristwright.files.separators import separator
from gristwright.reference.typeface import named

AS_UTF8 = "Save the sheet as CSV in UTF-8."
# A cell of a workbook holds no more.
LONGEST_CELL = 32_767
# What no text holds; what parts lines, fields or pages is let through.
NO_TEXT = re.compile("[\x00-\x08\x0e-\x1b]")


def text_of(raw: bytes, name: str) -> str:
    """The text of a table that must be in UTF-8. Raises Refused where it is not, or where its first line is no text.

    A character that no text holds costs further below the line it stands in.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused([Problem(Address(name), "is not text in UTF-8.", "Save it as CSV in UTF-8.")]) from None
    refuse_no_text(text.partition("\n")[0], name)
    return text


def refuse_no_text(text: str, name: str) -> None:
    """Raise Refused for a character that no text holds, with its line."""
    found = NO_TEXT.search(text)
    if found:
        line = text.count("\n", 0, found.start()) + 1
        what = f"is not a text file: line {line} holds {named(found[0])}."
        raise Refused([Problem(Address(name), what, AS_UTF8)])


def rows_of(text: str, name: str, mark: str = "") -> Iterator[tuple[int, list[str]]]:
    """Number and cells of every row, empty ones too; lines may end in any of the three ways.

    Raises Refused for a cell that is far too long and for what the `mark` between cells does not cut.
    """
    number = 0
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark or separator(text))
        for number, cells in enumerate(rows, 1):
            if max(map(len, cells), default=0) > LONGEST_CELL:
                raise _too_long(name, number)
            yield number, cells
    except csv.Error as error:
        if "field limit" in str(error):
            raise _too_long(name, number + 1) from None
        what = f"is not a table of cells ({error})."
        raise Refused([Problem(Address(name), what, "Save the sheet as CSV.")]) from None


def _too_long(name: str, number: int) -> Refused:
    what = f"has a cell of more than {LONGEST_CELL} characters."
    return Refused([Problem(Address(name, row=number), what, "Is a quote left open there? Close it, or cut the text.")])
