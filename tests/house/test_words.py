"""The glossary: in order, no word twice, and no word that nothing uses."""

from __future__ import annotations

import re

from house.places import DOCS, PACKAGE, files, text_of

HEADLINE = re.compile(r"^\*\*(?P<word>[^*]+)\*\*", re.MULTILINE)


def headlines() -> list[str]:
    return HEADLINE.findall((DOCS / "words.md").read_text(encoding="utf-8"))


def plain(word: str) -> str:
    """The word without its explanation in brackets, in lower case."""
    return re.sub(r"\s*\(.*?\)", "", word).strip().lower()


def test_the_words_are_in_alphabetical_order() -> None:
    words = [plain(word).replace("-", " ") for word in headlines()]
    assert words == sorted(words)
    assert len(set(words)) == len(words)
    assert len(words) >= 60


def test_every_word_is_used_outside_the_glossary() -> None:
    texts = [text_of(path) or "" for folder in (PACKAGE, DOCS) for path in files(folder) if path.name != "words.md"]
    everything = re.sub(r"[\s_]+", " ", " ".join(texts)).lower()
    unused = [word for word in headlines() if not re.search(rf"(?<!\w){re.escape(plain(word))}(?!\w)", everything)]
    assert unused == []
