"""What the test of whole tables is made of: a copy of the tables to plant a row in, and a refusal looked at."""

from __future__ import annotations

import csv
import functools
import gc
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from gristwright.basics import Refused
from gristwright.reference import load
from house.places import PACKAGE

Rows = list[dict[str, str]]


def forget() -> None:
    """Every table that was read, and what was made of it."""
    for each in gc.get_objects():
        if type(each) is functools._lru_cache_wrapper and (each.__module__ or "").startswith("gristwright"):
            each.cache_clear()


@contextmanager
def copied(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the tables that the program reads in place of its own."""
    copy = folder / "reference"
    shutil.copytree(PACKAGE / "reference", copy, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    monkeypatch.setattr(load, "ROOT", copy)
    forget()
    try:
        yield copy
    finally:
        forget()


def changed(path: Path, change: Callable[[Rows], Rows]) -> None:
    """A table with its rows changed."""
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(change(rows))


def added(path: Path, text: str) -> None:
    """A file with a text behind it."""
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")


def like(rows: Rows, column: str, old: str, new: str, **cells: str) -> Rows:
    """The rows of one thing again under another name, with other cells."""
    return [row | {column: new} | cells for row in rows if row[column] == old]


def refused(read: Callable[[], object], *said: str) -> None:
    """Reading is refused, and one of its sentences says all of this."""
    with pytest.raises(Refused) as found:
        read()
    lines = [problem.sentence() for problem in found.value.problems]
    assert any(all(part in line for part in said) for line in lines), lines
