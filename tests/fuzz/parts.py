"""Every part of the product that the fuzz command attacks, by name."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from fuzz import from_records, readers, terminal
from fuzz.campaign import Part


def _forms(answered: bool) -> st.SearchStrategy[Any]:
    """Loaded when it is drawn from: only then is there a database."""
    from fuzz import desk

    return desk.cases(answered)


def _sent(case: Any, folder: Any) -> str:
    from fuzz import desk

    return desk.run(case, folder)


PARTS: tuple[Part, ...] = (
    Part("reader", "reader", readers.cases, readers.run),
    Part("packed", "reader", lambda: readers.cases(readers.PACKED), readers.run, batch=8),
    Part("record", "record", from_records.cases, from_records.run, batch=20),
    Part("command", "command", terminal.cases, terminal.run, batch=20),
    Part("form", "desk", lambda: _forms(False), _sent, batch=20),
    Part("paper", "command", lambda: terminal.cases(terminal.DRAWN), terminal.run, batch=2, seconds=60.0),
    Part("answer", "desk", lambda: _forms(True), _sent, batch=10),
)


def chosen(over: str) -> tuple[Part, ...]:
    """The parts of the names, or kinds, with commas between; all of them when none is named. Ends the run otherwise."""
    names = [name.strip() for name in over.split(",") if name.strip()]
    known = {part.name for part in PARTS} | {part.kind for part in PARTS}
    if strange := [name for name in names if name not in known]:
        raise SystemExit(f"{', '.join(strange)}: no such part. There are: {', '.join(sorted(known))}.")
    return tuple(part for part in PARTS if not names or part.name in names or part.kind in names)


# What a run of the tests has time for: no search, no paper, fewer workbooks.
SHORT: tuple[Part, ...] = (
    Part("reader", "reader", readers.cases, readers.run),
    Part("packed", "reader", lambda: readers.cases(readers.PACKED), readers.run, batch=3),
    Part("record", "record", from_records.cases, from_records.run, batch=8),
    Part("command", "command", lambda: terminal.cases(terminal.QUICK), terminal.run, batch=30),
    Part("form", "desk", lambda: _forms(False), _sent, batch=20),
)
