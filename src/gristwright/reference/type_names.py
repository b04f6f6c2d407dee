"""Types of malt and grain by their plain names, English and German. What a name leaves open is never guessed.

Data: reference/tables/type_words.csv, type_names.csv, types.*, grains.csv; page: docs/types.md.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache, lru_cache

from gristwright.reference import csv_rows, toml_table
from gristwright.reference.grains import spellings, usual
from gristwright.reference.spelling import folded, letters

FIGURE = r"[0-9]{1,6}(?:[.,][0-9]{1,6})?"
# A colour as a name prints it, one figure or a range of two.
COLOUR = re.compile(rf"(?<![0-9])({FIGURE})(?:\s*[-–]\s*({FIGURE}))?\s*EBC", re.IGNORECASE)
# No name of a malt has more letters.
LONGEST = 200
# What a smoked malt is smoked over is the plain malt of its cereal, and says no more of its type.
UNDER_SMOKE = frozenset({"base", "pilsner", "distilling", "light"})


@dataclass(frozen=True)
class NameMeaning:
    """What the words of a name mean, by kind."""

    words: frozenset[str]

    def of(self, kind: str) -> list[str]:
        """The meanings of one kind."""
        return sorted(word for word in self.words if _kinds()[word] == kind)

    @property
    def cereal(self) -> str:
        """The cereal; the usual one, barley, where none is named, as the trade has it."""
        return (self.of("cereal") or [usual()])[0]

    @property
    def way(self) -> str:
        """What was done to the malt, as it is said before its name; nothing for plain malt."""
        smoke, ways = self.of("smoke"), self.of("way")
        if smoke:
            return " and ".join("peated" if wood == "peat" else f"{wood}-smoked" for wood in smoke)
        return " ".join(ways)


def types_table() -> dict[str, dict[str, object]]:
    return dict(toml_table("tables/types.toml")["type"])


@cache
def _kinds() -> dict[str, str]:
    kinds = {row["means"]: row["kind"] for row in csv_rows("tables/type_words.csv") if row["means"]}
    return kinds | dict.fromkeys(spellings().values(), "cereal")


@cache
def _words() -> dict[str, str]:
    words = {letters(row["word"]): row["means"] for row in csv_rows("tables/type_words.csv")}
    return words | {letters(word): name for word, name in spellings().items()}


@cache
def type_words() -> dict[frozenset[str], str]:
    return {frozenset(row["words"].split()): row["material"] for row in csv_rows("tables/type_names.csv")}


@cache
def _written() -> dict[str, str]:
    """Keys and titles as written -> key."""
    return {folded(name): key for key, entry in types_table().items() for name in (key, str(entry["title"]))}


@lru_cache(maxsize=4096)
def said(text: str) -> NameMeaning | None:
    """What a name says, in the fewest words that use all of its letters; None where a piece is no word of the table."""
    plain = letters(text[: 2 * LONGEST])
    if len(plain) > LONGEST:
        return None
    best: list[tuple[str, ...] | None] = [()] + [None] * len(plain)
    for end in range(1, len(plain) + 1):
        for start in range(end):
            before, word = best[start], plain[start:end]
            shorter = best[end] is None or (before is not None and len(before) + 1 < len(best[end] or ()))
            if before is not None and word in _words() and shorter:
                best[end] = (*before, word)
    meaning = best[-1]
    if not meaning:
        return None
    words = {_words()[word] for word in meaning} - {""}
    return NameMeaning(frozenset(words | ({"smoked"} if "peat" in words else set())))


def type_named(text: str) -> str | None:
    """The key of the type that a text names by key, title or plain trade words; None where it names none for sure."""
    if key := _written().get(folded(text)):
        return key
    name = said(text)
    if name is None:
        return None
    words = name.words - UNDER_SMOKE if "smoked" in name.words else name.words
    plain = words - {usual()} if "malt" in words and name.of("cereal") == [usual()] else words
    key = type_words().get(words) or type_words().get(plain)
    by_colour = of_colour(colours_of(name), text) if not name.of("shade") else None
    return by_colour or key


def colours_of(name: NameMeaning) -> list[str]:
    """The types that a malt of this grain, made so, comes in by its colour; one or none where it comes in one."""
    ways = set(name.of("way")) - {"smoked"}
    several = [key for words, key in type_words().items() if name.words - {usual()} <= words and ways & words]
    if not ways or "malt" not in name.words:
        return []
    return [key for key in dict.fromkeys(several) if types_table()[key]["species"] == name.cereal]


def of_colour(keys: Collection[str], text: str) -> str | None:
    """The type among these whose usual colour is nearest to the one that a name states in EBC, and may be of it; None
    where it states none."""
    stated = COLOUR.search(text)
    ends = [float(end.replace(",", ".")) for end in stated.groups() if end] if stated else []
    if len(keys) < 2 or not ends or min(ends) <= 0.0:
        return None
    colour = math.exp(sum(map(math.log, ends)) / len(ends))
    near = {key: _colour(key, "middle") for key in keys if _colour(key, "least") <= colour <= _colour(key, "most")}
    return min(near, key=lambda key: abs(math.log(near[key] / colour)), default=None)


def _colour(key: str, end: str) -> float:
    rows = csv_rows("tables/types.csv")
    return float(next(row[end] for row in rows if (row["material"], row["field"]) == (key, "colour_EBC")))


def smoke_named(text: str) -> str | None:
    """What was burnt, by any of its names; None where it is no one thing the table of words knows."""
    name = said(text)
    smokes = name.of("smoke") if name else []
    return smokes[0] if len(smokes) == 1 else None
