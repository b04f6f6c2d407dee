"""Woods by any of their names, from one table for law, casks, plants and ladders. See docs/reference.md."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, lru_cache

from gristwright.reference.load import csv_rows
from gristwright.reference.spelling import close_to, folded


@cache
def _table() -> dict[str, dict[str, str]]:
    return {folded(row["word"]): row for row in csv_rows("tables/cask_woods.csv")}


@lru_cache(maxsize=4096)
def _found(word: str, column: str) -> str | None:
    """What the table says of a word, or of all its parts in brackets when they agree."""
    parts = [part for part in map(folded, re.split(r"[()\[\],/]", word)) if part]
    means = {_table()[part][column] if part in _table() else None for part in parts}
    return means.pop() if len(means) == 1 else None


def wood_of(word: str) -> str | None:
    """The wood as the rules of law name it; None where the word is not in the table."""
    return _found(word, "wood")


def accepted() -> tuple[str, ...]:
    """Every wood, and what is none, as the rules of law name them."""
    return tuple(sorted({row["wood"] for row in _table().values()}))


def same_wood(one: str, other: str) -> bool:
    """Whether two words are one wood to the law; words that the table lacks are compared as written."""
    return (wood_of(one) or folded(one)) == (wood_of(other) or folded(other))


def kind_of_wood(word: str) -> str:
    """The kind, such as american oak; a word that the table lacks, or whose parts differ, stays as written."""
    return _found(word, "kind") or folded(word)


def same_kind(one: str, other: str) -> bool:
    """Whether two words are one kind of wood."""
    return kind_of_wood(one) == kind_of_wood(other)


def near(word: str) -> str:
    """The word of the table that is nearest, in lower case; nothing where none is near."""
    close = close_to(folded(word), _table(), 1, 0.7)
    return _table()[close[0]]["word"] if close else ""


def not_known(word: str, wanted: Iterable[str]) -> str:
    """The words for a wood the table lacks: what may have been meant, and what would be accepted."""
    meant = f" (meant is {close}?)" if (close := near(word)) else ""
    return f'"{word}" is no wood known here{meant}; accepted is {", ".join(wanted)}, by any name it goes under'
