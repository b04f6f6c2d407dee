"""A text in the words of the house it is for: a brewer has fermenters. Data: tables/house_words.csv."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import TypeVar, cast

from gristwright.reference.load import csv_rows

Part = TypeVar("Part")
# Fields that hold names, what a customer wrote or where a figure was read: they stay as they are.
UNTOUCHED = frozenset((
    "key", "name", "names", "rests_on", "source", "sources", "standing", "basis", "bill", "labels", "lots",
    "lots_table", "plant", "title", "customer", "question", "adviser", "format", "provenance", "shares", "assumption",
))  # fmt: skip
OURS = frozenset(("title",))  # of what no customer gave its title


@cache
def _words() -> dict[str, str]:
    return {row["distiller"]: row["brewer"] for row in csv_rows("tables/house_words.csv")}


@cache
def _pattern() -> re.Pattern[str]:
    alternatives = "|".join(re.escape(word) for word in sorted(_words(), key=len, reverse=True))
    return re.compile(rf"(?<![\w-])({alternatives})(?![.-]*\w)", re.IGNORECASE)


def in_words_of(text: str, brews: bool) -> str:
    """A text written for a distiller in the words of the house it is for; a capital in front stays one."""
    return _pattern().sub(lambda found: _in_its_place(found.group()), text) if brews else text


def _in_its_place(word: str) -> str:
    said = _words()[word.lower()]
    return said[:1].upper() + said[1:] if word[:1].isupper() else said


def for_a_brewer(part: Part, untouched: frozenset[str] = UNTOUCHED) -> Part:
    """A record or view with every text of ours in a brewer's words; names, sources and customers' texts stay."""
    return cast(Part, _said(part, untouched))


def _said(part: object, untouched: frozenset[str]) -> object:
    if type(part) is str:  # a word of a closed list stays one
        return in_words_of(part, True)
    if is_dataclass(part) and not isinstance(part, type):
        own = untouched if hasattr(part, "customer") else untouched - OURS
        said = {one.name: _said(getattr(part, one.name), untouched) for one in fields(part) if one.name not in own}
        return replace(part, **said)
    if isinstance(part, Mapping):
        return {key: part[key] if key in untouched else _said(part[key], untouched) for key in part}
    if isinstance(part, list):
        return [_said(value, untouched) for value in part]
    return tuple(_said(value, untouched) for value in part) if isinstance(part, tuple) else part
