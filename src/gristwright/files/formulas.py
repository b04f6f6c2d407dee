"""Texts in a table of text that no spreadsheet shall run as a formula, written as text and read back as they were.

An apostrophe in front makes it text, which spreadsheets hide. One program cuts lines where another does not, so what
stands behind a semicolon, a tab or a line break inside of a text is looked at, too.
"""

from __future__ import annotations

import re

_CUT = re.compile(r"([;\t\r\n])")
# Signs that begin a formula, in half and in full width, whatever nobody sees before them.
_RISKY = re.compile(r"['\s\u200b\u2060\ufeff]*+[=+\-@＝＋－＠]")
_EMPTY_BEFORE = re.compile(r"'*+[\t\r]")
_NUMBER = re.compile(r"\s*+[+-]?(?:[0-9]++(?:[.,][0-9]*+)?|[.,][0-9]++)(?:[eE][+-]?[0-9]++)?\s*+%?")


def neutral(text: str) -> str:
    """The text as it may stand in a table; a number as it is."""
    written = "".join(map(_neutral, _CUT.split(text)))
    return f"'{written}" if _EMPTY_BEFORE.match(written) else written


def as_meant(text: str) -> str:
    """The text that `neutral` wrote, or a person who put the apostrophe by hand."""
    if "'" not in text:
        return text
    read = text[1:] if text[0] == "'" and _EMPTY_BEFORE.match(text) else text
    return "".join(piece[1:] if piece[:1] == "'" and _RISKY.match(piece) else piece for piece in _CUT.split(read))


def _neutral(piece: str) -> str:
    return f"'{piece}" if _RISKY.match(piece) and not _NUMBER.fullmatch(piece) else piece
