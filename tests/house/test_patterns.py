"""No regular expression takes longer than its text is long: each is given 100 kB of what is worst for it.

A pattern that goes back over what it has read takes the square of the length, or worse: a cell of 100,000 spaces kept
a whole reader busy for hours.
"""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

import pytest

from gristwright.files.certificates.headings import _basis_pattern
from gristwright.reference.house_words import _pattern
from house.patterns import Found, attacks, patterns

SIZE = 100_000
# Seconds of the processor for all texts of one length; a pattern that is straight takes some milliseconds for each.
MOST_SECONDS = 20.0
# Patterns made where they are used, with what is put into them; the name of a field or of a series is short and ours.
MADE_OF: dict[str, dict[str, Any]] = {
    "workbench/faults.py": {"name": "liquor_degC", "path": ("kind", "name")},
    "workbench/sent_lines.py": {"prefix": "form"},
    "workbench/mending.py": {"address": "B2", "numbered": "<row", "place": SimpleNamespace(row=2)},
}
# Those made of the words of a table, by the function that makes them.
MADE_BY = {"files/certificates/headings.py": _basis_pattern, "reference/house_words.py": _pattern}
# What is worst for a pattern and is not found by its letters: a piece to repeat, by the place of the pattern.
WORST = {
    "files/ladder_in.py": (" ", "a ", "[a"),
    "files/toml_words.py": (" ", "= ", "a.", "1,111", '"'),
    "files/certificates/cell_values.py": ("1 ", "<= ", "1±1", "1.1e1", "..", "1-"),
    "files/certificates/headings.py": ("N ", "as ", "i. d. ", "a.b.", "([", "bez. auf "),
    "reference/type_names.py": ("1", "1 ", "1,1 - "),
    "reference/house_words.py": ("malt.", "wash-", "mash."),
    "workbench/mending.py": (
        '<c r="B2">',
        "<c r=",
        '<row r="2">',
        "<mergeCell ref=",
        "<Override calcChain",
        "calcChain",
    ),
    "quantities/units.py": ("1,", "1.", "1e1", "+ "),
}
FOUND = list(patterns())


class TooSlow(Exception):
    """A pattern that took longer than it may."""


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Raise TooSlow after so many seconds of this process; `re` looks for signals while it goes back and forth."""

    def stop(number: int, frame: Any) -> None:
        raise TooSlow

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def _made(found: Found) -> re.Pattern[Any]:
    if found.pattern is not None:
        return found.pattern
    file = found.where.partition(":")[0]
    if file in MADE_BY:
        return MADE_BY[file]()
    assert file in MADE_OF, f"say in MADE_OF what {found.where} is made of"
    return re.compile(eval(found.source, {"re": re, **MADE_OF[file]}))


@pytest.mark.parametrize("found", FOUND, ids=[one.where for one in FOUND])
def test_a_pattern_is_done_with_100_kB_of_its_worst_in_no_time(found: Found) -> None:
    pattern = _made(found)
    whole = isinstance(pattern.pattern, bytes)
    worst = [piece * (SIZE // len(piece)) + "\0" for piece in WORST.get(found.where.partition(":")[0], ())]
    slow = ""
    try:
        with within(MOST_SECONDS):
            for text in (*attacks(pattern, SIZE), *worst):
                slow = text
                given = text.encode() if whole else text
                for way in found.ways:
                    # What is looked for once is looked for to the end here.
                    getattr(pattern, way)(given) if way in ("match", "fullmatch") else pattern.sub(given[:0], given)
    except TooSlow:
        pytest.fail(f"{pattern.pattern!r} takes too long for {slow[:20]!r}… {slow[-20:]!r}")


@pytest.mark.parametrize("bad", [r"^(\w+?)\s*(\[.*\])?\s*$", r"\d+ ?EBC", "(a+)+b", r"\s*=?\s*1"])
def test_a_pattern_that_goes_back_is_found_out(bad: str) -> None:
    with pytest.raises(TooSlow):
        _attacked(re.compile(bad))


def _attacked(pattern: re.Pattern[str]) -> None:
    with within(0.5):
        for text in attacks(pattern, SIZE):
            pattern.match(text)
            pattern.sub("", text)


def test_the_patterns_are_found() -> None:
    assert len(FOUND) > 60
    assert any("SCALE" in one.where or "says" in one.where for one in FOUND)
