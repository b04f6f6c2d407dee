"""Which characters the typeface of charts and documents can show, and what is said of one that it cannot.

Everything that reads text asks here, before anything is computed: a document fails on one such character. Page:
docs/files.md; table: reference/tables/shown_characters.csv.
"""

from __future__ import annotations

import json
import unicodedata
from bisect import bisect_right
from functools import cache

from gristwright.reference.load import csv_rows

WAY_OUT = "Write it in Latin, Greek or Cyrillic letters, digits and usual signs."
# White space that paper sets as such.
BREAKS = "\t\n\r"
# Hyphens by another name.
HYPHENS = str.maketrans("\u2010\u2011", "--")
NAMELESS = {"Cc": "control character", "Co": "private use", "Cs": "half of a character"}
MOST_TOLD = 5


@cache
def _runs() -> tuple[tuple[int, ...], tuple[int, ...]]:
    """First and last code points of every run, in order."""
    rows = [(int(row["first"], 16), int(row["last"], 16)) for row in csv_rows("tables/shown_characters.csv")]
    return tuple(first for first, _ in rows), tuple(last for _, last in rows)


@cache
def _shown(character: str) -> bool:
    firsts, lasts = _runs()
    run = bisect_right(firsts, ord(character)) - 1
    return character in BREAKS or (run >= 0 and ord(character) <= lasts[run])


def composed(text: str) -> str:
    """The text as it is kept: accents joined to their letters (NFC), spaces and hyphens of other kinds plain ones."""
    if text.isascii():
        return text
    joined = unicodedata.normalize("NFC", text).translate(HYPHENS)
    return "".join(" " if unicodedata.category(c) == "Zs" and not _shown(c) else c for c in joined)


def unshown(text: str) -> tuple[str, ...]:
    """The characters of a text that cannot be shown, each once."""
    if _plain(text):
        return ()
    return tuple(dict.fromkeys(c for c in composed(text) if not _shown(c)))


def fault_in(text: str) -> str:
    """What is wrong with a text that cannot be shown whole, nothing where nothing is."""
    character = unshown(text)
    if not character:
        return ""
    more = f" and {len(character) - MOST_TOLD} more" if len(character) > MOST_TOLD else ""
    told = ", ".join(named(c) for c in character[:MOST_TOLD])
    return f"holds {told}{more}, which the typeface of the documents cannot show."


def named(character: str) -> str:
    """A character with its code point and Unicode name; itself only where it can be seen."""
    kind = unicodedata.category(character)
    name = f"{code(character)}, {unicodedata.name(character, NAMELESS.get(kind, 'no character'))}"
    return f"{character} ({name})" if kind[0] in "LNPS" else f"a character that is not seen ({name})"


def code(character: str) -> str:
    """Its code point as the standard writes it, such as U+4E2D."""
    return f"U+{ord(character):04X}"


def spelled(text: str) -> str:
    """The text with its code point in place of each character that cannot be shown; for words quoted out of a file."""
    return text if _plain(text) else "".join(c if _shown(c) else f"[{code(c)}]" for c in text)


def steered(text: str) -> str:
    """The text as a terminal may have it: what is not seen and would steer it (ESC, BEL, marks that turn the direction
    of writing) stands as its code point. Line breaks and tabs stay."""
    for character in _unseen(text):
        text = text.replace(character, f"[{code(character)}]")
    return text


def as_escapes(json_text: str) -> str:
    """JSON as a terminal may have it: the same characters, which stand in its texts alone, as JSON escapes them."""
    for character in _unseen(json_text):
        json_text = json_text.replace(character, json.dumps(character, allow_nan=False)[1:-1])
    return json_text


def _unseen(text: str) -> list[str]:
    """The characters of a text that are neither printed nor white space, each once."""
    if text.isprintable():
        return []
    found = (c for c in sorted(set(text)) if not c.isprintable())
    return [c for c in found if c not in "\n\t" and unicodedata.category(c) != "Zs"]


def _plain(text: str) -> bool:
    """Most texts; a ledger has many."""
    return text.isascii() and text.isprintable()
