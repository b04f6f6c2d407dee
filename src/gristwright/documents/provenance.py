"""What a document was made from and with, as views."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gristwright import __version__
from gristwright.documents.entries import STATED, DateView, Entry, date_entry, single
from gristwright.records.results import Provenance


@dataclass(frozen=True)
class InputView:
    """A file that went in."""

    file: str
    sha256: str


@dataclass(frozen=True)
class MadeView:
    """What a document was made from and with."""

    version: str
    inputs: tuple[InputView, ...]
    inputs_digest: str


@dataclass(frozen=True)
class DrawnView:
    """The same of one that rests on draws: the seed and how many there were."""

    version: str
    seed: Entry
    members: Entry
    inputs: tuple[InputView, ...]
    inputs_digest: str


@dataclass(frozen=True)
class RuleDates:
    """The text of a category: its own date, and when it was read."""

    category: str
    version_date: DateView
    read_on: DateView


@dataclass(frozen=True)
class ProvenanceView(DrawnView):
    """The same of one that the law was asked for."""

    rules: tuple[RuleDates, ...]


def made_view(inputs: Sequence[tuple[str, str]]) -> MadeView:
    """What a document without draws was made from and with."""
    return MadeView(__version__, _files(inputs), inputs_digest(inputs))


def drawn_view(version: str, seed: int, members: int, inputs: Sequence[tuple[str, str]]) -> DrawnView:
    """What a document that rests on draws was made from and with."""
    return DrawnView(
        version=version,
        seed=single("seed", "seed", "", seed, 0, STATED),
        members=single("members", "runs", "", members, 0, STATED),
        inputs=_files(inputs),
        inputs_digest=inputs_digest(inputs),
    )


def provenance_view(made: Provenance) -> ProvenanceView:
    """What the numbers of a recommendation were made from and with."""
    drawn = drawn_view(made.version, made.seed, made.members, made.inputs)
    rules = tuple(RuleDates(name, date_entry(version), date_entry(read)) for name, version, read in made.rule_dates)
    return ProvenanceView(**vars(drawn), rules=rules)


def _files(inputs: Iterable[tuple[str, str]]) -> tuple[InputView, ...]:
    return tuple(InputView(*one) for one in inputs)


def inputs_digest(inputs: Iterable[tuple[str, str]]) -> str:
    """The first twelve hexadecimal digits of the SHA-256 over the inputs' names and SHA-256."""
    lines = "".join(f"{digest}  {name}\n" for name, digest in inputs)
    return hashlib.sha256(lines.encode()).hexdigest()[:12]
