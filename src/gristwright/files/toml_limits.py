"""How much a TOML file may hold: what is more is no file that a person writes, and would take for ever or overflow.

A part is looked for before the text is parsed, for the parser takes the square of the length of a dotted name and goes
down a step of its own for each bracket; the rest once it is data, without going down into it. See docs/files.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from gristwright.basics import Address, FieldPath, Problem, Refused
from gristwright.files.texts import named

DEEPEST = 20
MOST_VALUES = 50_000
LONGEST_NAME = 300
LONGEST_TEXT = 20_000
# A whole number of more digits is no number that a field could say more of.
MOST_DIGITS = 100
# Points in a heading, and the sum over all lines of the square of the points in each.
MOST_POINTS_OF_HEADING, MOST_POINTS = 100, 5_000_000
DIGITS = re.compile(r"[0-9][0-9_]*")
LONGEST_RUN = 300


def refuse_unparsable(text: str, name: str) -> None:
    """Raise Refused, with its line, for what the parser should not be given."""
    points = 0
    for number, line in enumerate(text.split("\n"), 1):
        count = line.count(".")
        points += count * count
        if points > MOST_POINTS or (count > MOST_POINTS_OF_HEADING and line.lstrip().startswith("[")):
            what = f"has {count} points in one line."
            raise Refused([Problem(Address(name, row=number), what, "Give each field a line of its own.")])
        run = _longest_number(line)
        if run > LONGEST_RUN:
            what = f"holds a number of {run} digits."
            raise Refused([Problem(Address(name, row=number), what, "Write the number that is meant.")])


def _longest_number(line: str) -> int:
    if len(line) <= LONGEST_RUN:
        return 0
    return max((len(found[0]) for found in DIGITS.finditer(line)), default=0)


def refuse_too_much(data: dict[str, Any], name: str) -> None:
    """Raise Refused for data that is too deep or too much, and for every name, text and number that is too long."""
    problems = []
    for count, (path, value) in enumerate(_walked(data), 1):
        if len(path) > DEEPEST:
            raise too_deep(name)
        if count > MOST_VALUES:
            what = f"holds more than {MOST_VALUES} values."
            raise Refused([Problem(Address(name), what, "Divide it, or give lots as a table of cells.")])
        fault = _fault(path, value)
        if fault:
            problems.append(Problem(Address(name, path=_shown(path)), *fault))
    if problems:
        raise Refused(problems)


def _walked(data: dict[str, Any]) -> Iterator[tuple[FieldPath, Any]]:
    """Every value with its path; numbers of lists count from 1."""
    waiting: list[tuple[FieldPath, Any]] = [((), data)]
    while waiting:
        path, value = waiting.pop()
        yield path, value
        if len(path) > DEEPEST:
            continue
        if isinstance(value, dict):
            waiting += [((*path, key), below) for key, below in reversed(value.items())]
        elif isinstance(value, list):
            waiting += [((*path, place), value[place - 1]) for place in range(len(value), 0, -1)]


def _fault(path: FieldPath, value: Any) -> tuple[str, str] | None:
    key = path[-1] if path else ""
    if isinstance(key, str) and len(key) > LONGEST_NAME:
        return f"is a name of {len(key)} characters.", f"Shorten it to {LONGEST_NAME} at most."
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return f"is a text of {len(value)} characters.", f"Shorten it to {LONGEST_TEXT} at most."
    if isinstance(value, int) and abs(value) >= 10**MOST_DIGITS:
        digits = int(value.bit_length() * 0.30103) + 1
        return f"is a number of about {digits} digits.", "Write the number that is meant."
    return None


def _shown(path: FieldPath) -> FieldPath:
    return tuple(named(part[:LONGEST_NAME]) if isinstance(part, str) else part for part in path)


def too_deep(name: str) -> Refused:
    """The refusal of tables or lists in one another without end."""
    what = f"has tables or lists more than {DEEPEST} deep in one another."
    return Refused([Problem(Address(name), what, "Write each field under its heading.")])
