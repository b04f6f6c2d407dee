"""Types of malt and grain by their plain names, English and German. What a name leaves open is never guessed.

Data: reference/tables/type_words.csv, type_names.csv, types.*, grains.csv; page: docs/types.md.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import cache, lru_cache

from gristwright.reference import csv_rows, toml_table
from gristwright.reference.grains import spellings, usual
from gristwright.reference.spelling import folded, letters

KINDS = ("smoke", "way", "cereal", "base", "state", "form", "shade")
LISTED = "gristwright types lists what there is."


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


def _types() -> dict[str, dict[str, object]]:
    return dict(toml_table("tables/types.toml")["type"])


def _smokes() -> list[str]:
    return sorted({str(entry["smoke"]) for entry in _types().values() if "smoke" in entry})


@cache
def _kinds() -> dict[str, str]:
    kinds = {row["means"]: row["kind"] for row in csv_rows("tables/type_words.csv") if row["means"]}
    return kinds | dict.fromkeys(spellings().values(), "cereal")


@cache
def _words() -> dict[str, str]:
    words = {letters(row["word"]): row["means"] for row in csv_rows("tables/type_words.csv")}
    return words | {letters(word): name for word, name in spellings().items()}


@cache
def _names() -> dict[frozenset[str], str]:
    return {frozenset(row["words"].split()): row["material"] for row in csv_rows("tables/type_names.csv")}


@cache
def _written() -> dict[str, str]:
    """Keys and titles as written -> key."""
    return {folded(name): key for key, entry in _types().items() for name in (key, str(entry["title"]))}


@lru_cache(maxsize=4096)
def said(text: str) -> NameMeaning | None:
    """What a name says, in the fewest words that use all of its letters; None where a piece is no word of the table."""
    plain = letters(text)
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
    plain = name.words - {usual()} if "malt" in name.words and name.of("cereal") == [usual()] else name.words
    return _names().get(name.words) or _names().get(plain)


def left_open(text: str) -> tuple[str, str] | None:
    """What a name in plain words leaves open or asks that is not known, and the way out; None for other words."""
    name = said(text)
    if name is None or len(name.of("cereal")) > 1:
        return None
    return next(filter(None, (answer(name) for answer in (_no_smoke, _not_malted, _open, _no_such_malt))), None)


def not_a_type(text: str) -> tuple[str, str]:
    """What is wrong with a name that names no type, and the way out."""
    what, way_out = left_open(text) or ("is not in the types table.", _near(text))
    return f"material {text!r} {what}", way_out


def _near(text: str) -> str:
    plain = folded(text).replace(" ", "_")
    near = difflib.get_close_matches(plain, list(_types()), 2)
    return (
        f"Use one of: {', '.join(near)}."
        if near
        else f"{LISTED} A house's own word goes into a map of its certificates."
    )


def _no_smoke(name: NameMeaning) -> tuple[str, str] | None:
    """Smoked, but not with what; or a wood, but no smoke."""
    smoked, woods = "smoked" in name.words, name.of("smoke")
    if smoked and not woods:
        *first, last = _smokes()
        way_out = f"Write it with {', '.join(first)} or {last}, such as oak-smoked malt. {LISTED}"
        return "does not say what it was smoked with.", way_out
    if woods and not smoked:
        return "names a wood and no smoke.", f"Write {name.way} malt if it is smoked. {LISTED}"
    return None


def _not_malted(name: NameMeaning) -> tuple[str, str] | None:
    """Smoked grain that may be malt or not."""
    if "smoked" not in name.words or name.of("state"):
        return None
    cereal = "" if name.cereal == usual() else f"{name.cereal} "
    return "does not say whether it is malted.", f"Write {name.way} {cereal}malt if it is; the law asks. {LISTED}"


def _open(name: NameMeaning) -> tuple[str, str] | None:
    """A malt that comes in several colours and does not say which."""
    several = [key for words, key in _names().items() if name.words - {usual()} < words and set(name.of("way")) & words]
    if name.of("shade") or "malt" not in name.words or len(set(several)) < 2:
        return None
    same = [key for key in dict.fromkeys(several) if _types()[key]["species"] == name.cereal]
    titles = ", ".join(str(_types()[key]["title"]) for key in same)
    return ("comes in several colours.", f"Write one of: {titles}.") if len(same) > 1 else None


def _no_such_malt(name: NameMeaning) -> tuple[str, str] | None:
    """A malt made in a way that is known of other cereals, or with a smoke that no table knows."""
    if not name.way or "malt" not in name.words:
        return None
    cereal = f"{name.cereal} " if name.of("cereal") else ""
    what = f"names no type: {name.way} {cereal}malt is not known here as a type; {_known_of(name)}."
    return what, _instead(name)


def _known_of(name: NameMeaning) -> str:
    """What is known of the way a malt was made: the cereals, or the smokes where the smoke itself is not known."""
    if set(name.of("smoke")) - set(_smokes()):
        return f"smokes known are {', '.join(_smokes())}"
    asked = {*name.of("smoke"), *name.of("way")}
    cereals = [str(_types()[key]["species"]) for words, key in _names().items() if asked <= words and "malt" in words]
    return f"{name.way} malt is known of {' and '.join(dict.fromkeys(cereals)) or 'no cereal'}"


def _instead(name: NameMeaning) -> str:
    """What to do with such a lot: the plain malt of its own cereal, with figures of its own."""
    plain = [
        key
        for key, entry in _types().items()
        if (entry["species"], entry["malted"], entry["process"]) == (name.cereal, True, "none")
    ]
    if not plain:
        return f"No malt of {name.cereal} is known here. {LISTED}"
    smoke = ", phenols" if "smoked" in name.words else ""
    return (
        f"Enter it as {plain[0]} with its own figures on the certificate (moisture, extract, fermentability{smoke}), "
        f"never as a type of another cereal: the law asks the cereal. {LISTED}"
    )


def smoke_named(text: str) -> str | None:
    """What was burnt, by any of its names; None where it is no one thing the table of words knows."""
    name = said(text)
    smokes = name.of("smoke") if name else []
    return smokes[0] if len(smokes) == 1 else None
