"""The words that facts and rules share, read from words.toml; grains and their names come from the table of grains."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from gristwright.reference import toml_table
from gristwright.reference.grains import of_law, spellings


@dataclass(frozen=True)
class Words:
    """The words facts may use: lists by name, other spellings, and the range of moistures [%] by malted or not."""

    lists: Mapping[str, tuple[str, ...]]
    spellings: Mapping[str, Mapping[str, str]]
    moisture_pct: Mapping[str, tuple[Decimal, Decimal]]

    def plain(self, field: str, value: str | None) -> str:
        """A value in the book's own spelling; what is not known, or not a word of the book, is "unknown"."""
        word = self.spellings.get(field, {}).get(value or "unknown", value or "unknown")
        return word if field == "species" or word in self.lists[field] else "unknown"

    def named(self, values: Iterable[str]) -> tuple[str, ...]:
        """Values with every @name replaced by the list of that name."""
        return tuple(word for value in values for word in (self.lists[value[1:]] if value[:1] == "@" else (value,)))


def words_from(table: Mapping[str, Any]) -> Words:
    """The words of one words.toml, whose lists stand in place of those of the tables."""
    lists = {"cereals": of_law("cereal"), "pseudocereals": of_law("pseudocereal")}
    lists["process"] = tuple(toml_table("tables/types.toml")["process"])
    lists |= {name: tuple(values) for name, values in table["lists"].items()}
    spelt = {"species": {word: name for word, name in spellings().items() if word != name}}
    spelt |= table["spellings"]
    moisture = {name: (Decimal(low), Decimal(high)) for name, (low, high) in table["moisture_pct"]["ranges"].items()}
    return Words(lists, spelt, moisture)
