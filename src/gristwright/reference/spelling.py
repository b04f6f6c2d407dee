"""Names written by people brought to one spelling, so that a table can be looked up. See docs/reference.md."""

from __future__ import annotations

import re
import unicodedata

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
