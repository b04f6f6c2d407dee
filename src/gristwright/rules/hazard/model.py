"""Cautions as data: one sentence or two by topic, in our own words."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Standing, refuse_if_any
from gristwright.reference.load import toml_table
from gristwright.rules.hazard.limits import topic_problems


@dataclass(frozen=True)
class Caution:
    """What to beware of in one topic, and what the sentence rests on."""

    topic: str
    title: str
    text: str
    source: str
    standing: Standing


def topics() -> tuple[str, ...]:
    """The topics there is a caution on."""
    return tuple(toml_table("cautions.toml"))


def cautions(*wanted: str) -> tuple[Caution, ...]:
    """The cautions of some topics in the order asked, of all when none is named; raises Refused for other topics."""
    refuse_if_any(topic_problems(wanted, topics()))
    table = toml_table("cautions.toml")
    entries = [(topic, table[topic]) for topic in wanted or topics()]
    return tuple(Caution(topic, e["title"], e["text"], e["source"], Standing(e["standing"])) for topic, e in entries)
