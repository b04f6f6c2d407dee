"""The rule book: categories and rules read from data files, with what a category takes over from another."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from gristwright.basics import Address, Problem, Refused
from gristwright.reference.load import file_names, toml_table
from gristwright.rules.law.limits import table_problems
from gristwright.rules.law.words import Words, words_from

WORDS_FILE = "words.toml"
RULE_FIELDS = (
    "id", "sentence", "kind", "source", "standing", "flag", "flag_when", "note", "from", "until", "transition_until",
    "transition",
)  # fmt: skip


@dataclass(frozen=True)
class Rule:
    """One rule: its sentence, its kind, and the kind's arguments as data."""

    id: str
    sentence: str
    kind: str
    data: Mapping[str, Any]
    source: str
    standing: str
    flag: str = ""
    flag_when: Mapping[str, Any] | None = None
    note: str = ""
    begins: dt.date = dt.date.min
    ends: dt.date = dt.date.max
    transition_until: dt.date = dt.date.min  # spirit bottled before it may still follow the older rules
    transition: str = ""  # in a sentence without a full stop

    def in_force(self, on: dt.date) -> bool:
        """Whether the rule applies on a day."""
        return self.begins <= on < self.ends

    def changes_between(self, on: dt.date, later: dt.date) -> dt.date | None:
        """The day after one and up to a later one on which the rule begins or ends; None where it stays."""
        return next((day for day in (self.begins, self.ends) if on < day <= later), None)


@dataclass(frozen=True)
class Category:
    """A name the law gives, with all its rules, those taken over first."""

    key: str
    title: str
    market: str
    version_date: dt.date
    version_note: str
    read_on: dt.date
    source: str
    seen: str
    confidence: str
    rules: tuple[Rule, ...]
    includes: tuple[str, ...] = ()  # categories whose rules it takes over


@dataclass(frozen=True)
class Book:
    """All categories by key, and the words their facts use."""

    categories: Mapping[str, Category]
    words: Words

    def rule(self, rule_id: str) -> Rule:
        """The rule of an id; KeyError when there is none."""
        rules = (rule for category in self.categories.values() for rule in category.rules)
        match = next((rule for rule in rules if rule.id == rule_id), None)
        if match is None:
            raise KeyError(rule_id)
        return match


def rule_from(entry: Mapping[str, Any]) -> Rule:
    """One [[category.rule]] entry as a Rule; every field that is not a rule's own goes to its kind."""
    data = {name: value for name, value in entry.items() if name not in RULE_FIELDS}
    own = {name: entry[name] for name in ("id", "sentence", "kind", "source", "standing")}
    more = ("flag", "flag_when", "note", "transition", "transition_until")
    extra = {name: entry[name] for name in more if name in entry}
    return Rule(**own, **extra, data=data, begins=entry.get("from", dt.date.min), ends=entry.get("until", dt.date.max))


def gathered(key: str, entries: Mapping[str, Mapping[str, Any]]) -> tuple[Rule, ...]:
    """The rules of a category: those of the categories it includes, less those it drops, then its own."""
    entry = entries[key]
    dropped = set(entry.get("drops", ()))
    included = [
        rule for name in entry.get("includes", ()) for rule in gathered(name, entries) if rule.id not in dropped
    ]
    return tuple({rule.id: rule for rule in [*included, *map(rule_from, entry.get("rule", ()))]}.values())


def category_from(key: str, entries: Mapping[str, Mapping[str, Any]]) -> Category:
    """One [[category]] entry as a Category."""
    entry = entries[key]
    texts = {name: entry[name] for name in ("title", "market", "version_date", "read_on", "source", "seen")}
    return Category(
        key=key,
        **texts,
        version_note=entry.get("version_note", ""),
        confidence=entry["confidence"],
        rules=gathered(key, entries),
        includes=tuple(entry.get("includes", ())),
    )


def book_of(tables: Mapping[str, Mapping[str, Any]], words: Words) -> Book:
    """A book from the parsed market files (name -> table); raises Refused with every fault of the data."""
    problems = table_problems(tables, words)
    if problems:
        raise Refused(problems)
    entries = {
        entry["key"]: {"market": table["market"], "read_on": table["read_on"], **entry}
        for table in tables.values()
        for entry in table["category"]
    }
    return Book({key: category_from(key, entries) for key in entries}, words)


@cache
def standard_book() -> Book:
    """The book that ships with the package."""
    names = file_names("law")
    tables = {name: toml_table(f"law/{name}") for name in names if name.endswith(".toml") and name != WORDS_FILE}
    return book_of(tables, words_from(toml_table(f"law/{WORDS_FILE}")))


def read_toml(path: Path) -> dict[str, Any]:
    """A TOML file with its decimals kept exact; raises Refused when it cannot be read."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        problem = Problem(
            Address(path.name), f"the rule file cannot be read ({fault}).", "Mend the file or take it away."
        )
        raise Refused([problem]) from fault


def book_from(*paths: Path) -> Book:
    """A book from rule files or folders of them; a later file replaces an earlier one of the same name.

    The words come from a words.toml among them, else from the package. Raises Refused with every fault of the data.
    """
    files = [file for path in paths for file in (sorted(path.glob("*.toml")) if path.is_dir() else [path])]
    tables = {file.name: read_toml(file) for file in files}
    words = tables.pop(WORDS_FILE, None) or toml_table(f"law/{WORDS_FILE}")
    return book_of(tables, words_from(words))
