"""Names written by people brought to one spelling, so that a table can be looked up. See docs/reference.md."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache
from itertools import islice
from types import MappingProxyType

# What is within it of the nearest is as near.
AS_NEAR = 0.06
# More names than these are not listed whole.
MOST_LISTED = 12
# No name is longer; what is, is looked for by its beginning, for looking takes the square of the length.
LONGEST_NAME = 120
# Among more names than these the nearest are looked for in the first of them.
MOST_LOOKED_AT = 20_000
NO_TITLES: Mapping[str, str] = MappingProxyType({})
# Folded before accents are taken away, so that "Röst" and "Roest" are one word.
LETTERS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})


def folded(text: str) -> str:
    """A text without what does not tell names apart: case, accents, underscores, hyphens, double spaces."""
    lower = unicodedata.normalize("NFC", text).casefold().translate(LETTERS)
    bare = "".join(c for c in unicodedata.normalize("NFD", lower) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[\s_\-‐‑–]+", " ", bare).split())


def letters(text: str) -> str:
    """The letters of a text alone, folded: no spaces, figures or marks."""
    return "".join(c for c in folded(text) if c.isalpha())


def close_to(word: str, options: Iterable[str], most: int = 3, alike: float = 0.6) -> list[str]:
    """The options that are most like a word letter by letter, as they are written, the nearest first."""
    return list(_close_to(word[:LONGEST_NAME], tuple(islice(options, MOST_LOOKED_AT)), most, alike))


@lru_cache(maxsize=4096)
def _close_to(word: str, options: tuple[str, ...], most: int, alike: float) -> tuple[str, ...]:
    """The same; one mistake is made on many lines of a ledger."""
    cut = {one[:LONGEST_NAME]: one for one in options}
    return tuple(cut[one] for one in difflib.get_close_matches(word, cut, most, alike))


def nearest(name: str, known: Iterable[str], most: int = 2, alike: float = 0.6) -> list[str]:
    """The known names that are spelt most like a name, each once, the nearest first; none where none is near."""
    by_plain: dict[str, str] = {}
    for one in islice(known, MOST_LOOKED_AT):
        by_plain.setdefault(folded(one[:LONGEST_NAME]), one)
    wanted = folded(name[:LONGEST_NAME])
    near = close_to(wanted, by_plain, most, alike)
    if alike and near:
        # One that is far less like it than the nearest was not meant.
        best = _alike(wanted, near[0])
        near = [plain for plain in near if _alike(wanted, plain) >= best - AS_NEAR]
    held = [plain for plain in by_plain if len(wanted) > 2 and wanted in plain.split()]
    return [by_plain[plain] for plain in dict.fromkeys([*near, *held])][:most]


def _alike(wanted: str, plain: str) -> float:
    return difflib.SequenceMatcher(None, plain, wanted).ratio()


def one_of(
    name: str, known: Collection[str], else_said: str = "Use one of", titles: Mapping[str, str] = NO_TITLES
) -> str:
    """The way out for a name that is none of those known: the ones that were meant, or else all of them.

    `titles` say what a key stands for, where the key alone does not.
    """
    near = nearest(name, known) or _by_title(name, titles)
    if near:
        return f"Did you mean {' or '.join(_titled(repr(one), one, titles) for one in near)}?"
    if len(known) <= MOST_LISTED:
        return f"{else_said}: {', '.join(_titled(one, one, titles) for one in sorted(known))}."
    *first, last = (_titled(one, one, titles) for one in nearest(name, known, 3, 0.0))
    return f"Of {len(known)} the nearest are {', '.join(first)} and {last}."


def _by_title(name: str, titles: Mapping[str, str]) -> list[str]:
    """The keys whose title is spelt most like a name, or holds it as a word."""
    keys = {title: key for key, title in titles.items()}
    return [keys[title] for title in nearest(name, keys, 3)]


def _titled(shown: str, name: str, titles: Mapping[str, str]) -> str:
    title = titles.get(name, "")
    return f"{shown} ({title})" if title and folded(title) != folded(name) else shown
