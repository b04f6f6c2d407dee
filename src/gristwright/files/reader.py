"""Read one table of a file field by field and collect every fault instead of stopping at the first."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Iterable
from typing import Any

from gristwright.basics import Address, Problem, Refused
from gristwright.quantities.shown import outside
from gristwright.quantities.units import parse_number
from gristwright.reference.spelling import one_of

WRITE_A_NUMBER = "Write digits with a decimal point."

# So many fields of a table that nobody knows are told one by one.
MOST_STRANGE = 50


class Table:
    """A table of a file: asks for fields by name, notes faults with their place, names the fields nobody asked for."""

    def __init__(self, data: dict[str, Any], where: Address, problems: list[Problem]) -> None:
        self.data, self.where, self.problems = data, where, problems
        self.asked: set[str] = set()

    @property
    def named(self) -> str:
        """The table as its heading in the file names it, without the numbers of lists."""
        return ".".join(str(part) for part in self.where.path if not isinstance(part, int))

    def place(self, key: str) -> Address:
        """The address of a field."""
        return self.where.to(key)

    def heading(self, key: str) -> str:
        """How a table below this one is headed."""
        return ".".join(filter(None, (self.named, key)))

    def fault(self, key: str, what: str, way_out: str) -> None:
        """Note a fault of one field."""
        self.problems.append(Problem(self.place(key), what, way_out))

    def has(self, key: str) -> bool:
        """Whether the field was given."""
        self.asked.add(key)
        return key in self.data

    def text(self, key: str, default: str | None = None) -> str:
        """A line of text; without a default it must be given."""
        if not self.has(key):
            if default is None:
                self.fault(key, "is missing.", f'Add a line {key} = "…".')
            return default or ""
        value = self.data[key]
        if not isinstance(value, str) or (default is None and not value.strip()):
            self.fault(key, f"{as_toml(value)} is not text.", f'Write it as {key} = "…".')
            return ""
        return value.strip()

    def choice(self, key: str, options: Collection[str], default: str | None = None) -> str:
        """One word out of several."""
        value = self.text(key, default)
        if value and value not in options:
            self.fault(key, f"{value!r} is not known here.", near_word(value, options))
        return value

    def number(self, key: str, least: float, most: float, unit: str, default: float | None = None) -> float:
        """A number within its limits; a decimal comma in quotes is read too. NaN after a fault, so reading goes on."""
        value = self.optional_number(key, least, most, unit)
        if value is not None:
            return value
        if key not in self.data:
            if default is not None:
                return default
            self.fault(key, "is missing.", f"Give it in {unit}, between {least:g} and {most:g}.")
        return float("nan")

    def optional_number(self, key: str, least: float, most: float, unit: str) -> float | None:
        """A number or None when it is not given."""
        if not self.has(key):
            return None
        try:
            value = as_number(self.data[key])
        except Refused as refused:
            self.problems += [Problem(self.place(key), p.what, p.way_out) for p in refused.problems]
            return None
        if not least <= value <= most:
            self.fault(key, outside(value, least, most, unit), "Correct it or check the unit.")
            return None
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of words, possibly empty."""
        value = self.data.get(key, []) if self.has(key) else []
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            self.fault(key, "is not a list of words.", f'Write it as {key} = ["…", "…"].')
            return ()
        return tuple(value)

    def table(self, key: str, required: bool = True) -> Table:
        """A table below this one; an empty one after a fault."""
        value = self.data.get(key, {}) if self.has(key) else {}
        if key not in self.data and required:
            self.fault(key, "is missing.", f"Add a table [{self.heading(key)}].")
        if not isinstance(value, dict):
            self.fault(key, "is not a table.", f"Write it as [{self.heading(key)}] with one line a field.")
            value = {}
        return Table(value, self.place(key), self.problems)

    def tables(self, key: str) -> list[Table]:
        """A list of tables, each knowing its number."""
        value = self.data.get(key, []) if self.has(key) else []
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.fault(key, "is not a list of tables.", f"Write each as [[{self.heading(key)}]].")
            return []
        return [Table(item, self.where.to(key, number), self.problems) for number, item in enumerate(value, start=1)]

    def nothing_else(self, also: Iterable[str] = ()) -> None:
        """Note every field that nobody asked for: a typing error must not pass as silence."""
        known = self.asked | set(also)
        strange = sorted(set(self.data) - known)
        if len(strange) > MOST_STRANGE:
            self.problems.append(Problem(self.where, *too_strange(len(strange))))
        for key in strange[:MOST_STRANGE]:
            self.fault(key, "is not a field we know.", near_word(key, sorted(known), "Fields here"))


def as_number(value: Any) -> float:
    """A number from TOML, or from text with a decimal point or comma. Raises Refused when it is neither."""
    if isinstance(value, str):
        return parse_number(value)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused([Problem("number", f"{as_toml(value)} is not a number.", WRITE_A_NUMBER)])
    return float(value)


def too_strange(count: int) -> tuple[str, str]:
    """What is said of a table with so many fields nobody knows that not each of them is told."""
    return f"has {count} fields we do not know; the first {MOST_STRANGE} are told.", "Take them out."


def as_toml(value: Any) -> str:
    """A value as a file writes it, for a message."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return repr(value)
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return "a table" if isinstance(value, dict) else "a list" if isinstance(value, list | tuple) else str(value)


def near_word(name: str, known: Collection[str], else_said: str = "Use one of") -> str:
    """The word that was meant, or all there are."""
    return one_of(name, known, else_said)
