"""What a panel's scale speaks of: malt, what is immature, or age; as the file says, else by the table of malt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from gristwright.basics import Address, Problem
from gristwright.records.ageing import CaskTable
from gristwright.reference.load import csv_rows
from gristwright.reference.spelling import folded

MATURITY = "maturity"
MALT = "malt"
HOW = "Write [0-10, malt], [0-10, immature] or [0-10, age] in its heading"


@dataclass(frozen=True)
class Speaks:
    """One thing that a scale may speak of; `way` is how it goes with age on a ladder: falls, rises, or empty."""

    key: str
    words: tuple[str, ...]
    way: str
    title: str


@cache
def kinds() -> dict[str, Speaks]:
    """Everything that a scale may speak of, by its key."""
    return {
        row["kind"]: Speaks(row["kind"], tuple(row["words"].split("|")), row["way"], row["title"])
        for row in csv_rows("tables/ageing_speaks_of.csv")
    }


def kind_said(word: str) -> str | None:
    """What a word behind a scale says that it speaks of; None for a word that says nothing of the kind."""
    return next((kind.key for kind in kinds().values() if folded(word) in map(folded, kind.words)), None)


@cache
def _words_of_malt() -> frozenset[str]:
    return frozenset(folded(row["word"]) for row in csv_rows("tables/ageing_notes.csv") if row["of_malt"] == "yes")


def spoken_of(attribute: str, declared: Mapping[str, str]) -> str:
    """What a scale speaks of, as a file declares it, else by the table of malt's words; empty where neither says it."""
    return declared.get(attribute) or (MALT if folded(attribute) in _words_of_malt() else "")


def declared(ladder: CaskTable, arms: CaskTable, problems: list[Problem]) -> dict[str, str]:
    """What either file says of each scale that both have; a scale that they say two things of is named and not used."""
    said, theirs = {**arms.speaks_of, **ladder.speaks_of}, arms.speaks_of
    apart = [name for name, kind in theirs.items() if said[name] != kind]
    for name in apart:
        what = f"{name} speaks of {theirs[name]} here and of {said[name]} in {ladder.file}."
        way_out = "Say one thing in both; it is shown and not judged."
        problems.append(Problem(Address(arms.file), what, way_out, True))
    common = [name for name in ladder.scales if name in arms.scales and name != MATURITY]
    said = {name: kind for name, kind in said.items() if name in common and name not in apart}
    silent = [name for name in common if name not in apart and not spoken_of(name, said)]
    if silent:
        what = f"neither table nor file says what {' and '.join(silent)} {_verb(silent)} of; shown, not judged."
        problems.append(Problem(Address(ladder.file), what, f"{HOW}.", True))
    return said


def _verb(names: list[str]) -> str:
    return "speaks" if len(names) == 1 else "speak"
