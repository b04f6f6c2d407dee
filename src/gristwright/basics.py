"""Words every floor shares: a fault, a refusal, the source of a number, a prior, draws. See docs/house.md."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import Enum, StrEnum
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]

# Where a value stands in a file or a record: names of fields, and numbers of items in lists.
FieldPath: TypeAlias = tuple[str | int, ...]

# One column of shape (members,) for each named parameter. Every bill of one run is computed on the same columns, so
# that a difference between two bills is a difference of the bills and not of the draws.
Draws: TypeAlias = Mapping[str, FloatArray]

# Told how far a long job is: done, of how many, a note. It may raise to stop the job.
Tick: TypeAlias = Callable[[int, int, str], None]


class Standing(StrEnum):
    """What a number rests on."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    DERIVED = "derived"
    ESTIMATE = "estimate"
    MEASURED = "measured"
    INVENTED = "invented"


def no_tick(_done: int, _total: int, _note: str) -> None:
    """Progress nobody looks at."""


@dataclass(frozen=True)
class Address:
    """Where something stands: file, sheet, row and column counted from 1, path of fields and numbers in file or record.

    In a line of a text file the path is the heading of its column; an address that says nothing is false.
    """

    file: str = ""
    sheet: str = ""
    row: int | None = None
    column: int | None = None
    path: FieldPath = ()

    @property
    def words(self) -> str:
        """The address as a person finds it."""
        sheet = f"sheet {self.sheet}" if self.sheet else ""
        parts = (self.file, sheet, *self._cell(), *self._fields())
        return _readable(", ".join(part for part in parts if part))

    def _cell(self) -> tuple[str, ...]:
        """A workbook has cells by letter and number, a table as text rows, and columns where no heading is said."""
        line = "line" if self.file.endswith(".toml") else "row"
        row = f"{line} {self.row}" if self.row else ""
        if self.sheet and self.column:
            return (f"cell {letters(self.column)}{self.row}",) if self.row else (f"column {letters(self.column)}",)
        by_heading = self.row and self.path
        return (row,) if by_heading or not self.column else (row, f"column {self.column}")

    def _fields(self) -> tuple[str, ...]:
        """The fields of a file joined by points; of a record its name and the name of its part stand before them."""
        names: list[str] = []
        for part in self.path:
            if isinstance(part, int) and names:
                names[-1] += f" {part}"
            else:
                names.append(str(part))
        apart = 0 if self.file or self.row else 2
        return (*names[:apart], ".".join(names[apart:]))

    def to(self, *path: str | int) -> Address:
        """The address of a field within."""
        return replace(self, path=self.path + path)

    def as_data(self) -> dict[str, Any]:
        """What the address says, as plain values."""
        return {name: list(v) if name == "path" else v for name, v in vars(self).items() if v}

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Address:
        """The address that `as_data` wrote."""
        return cls(**{**data, "path": tuple(data.get("path", ()))})

    def __bool__(self) -> bool:
        return self != Address()

    def __str__(self) -> str:
        return self.words


NOWHERE = Address()


def at(*path: str | int) -> Address:
    """The address of a record's field: at("plant", "mash", "rests", 2, "settled_degC")."""
    return Address(path=path)


def letters(column: int) -> str:
    """The letters of a column counted from 1: 1 is A, 28 is AB."""
    text = ""
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


# What is quoted in a sentence may be a whole file by mistake; a sentence stays one that can be read.
LONGEST_SENTENCE = 1_000


def _readable(text: str) -> str:
    """The text, what is longer than a sentence without its middle."""
    if len(text) <= LONGEST_SENTENCE:
        return text
    return f"{text[: LONGEST_SENTENCE // 5]} … {text[-LONGEST_SENTENCE // 5 :]}"


# A text stands only where there is nothing to address: an option, an argument, a quantity by its name.
Where: TypeAlias = Address | str


@dataclass(frozen=True)
class Problem:
    """One fault of an input in one sentence: where it stands, what is wrong, the limit, the way out."""

    where: Where
    what: str
    way_out: str = ""
    warning: bool = False

    def __post_init__(self) -> None:
        """Cut what is far too long to be read."""
        for name in ("what", "way_out"):
            if len(getattr(self, name)) > LONGEST_SENTENCE:
                object.__setattr__(self, name, _readable(getattr(self, name)))

    @property
    def address(self) -> Address:
        """Where it stands; an address that says nothing where there is none."""
        return self.where if isinstance(self.where, Address) else Address()

    def as_data(self) -> dict[str, object]:
        """The fault as plain values, its address as an object."""
        said = {"where": str(self.where), "what": self.what, "way_out": self.way_out, "warning": self.warning}
        return {"address": self.address.as_data(), **said, "sentence": self.sentence()}

    def sentence(self) -> str:
        """The fault as a person reads it."""
        head = f"{self.where}: {self.what}" if self.where else self.what
        return f"{head} {self.way_out}".rstrip()


class Refused(Exception):
    """The input cannot be used; carries every fault found, not only the first."""

    def __init__(self, problems: tuple[Problem, ...] | list[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(problem.sentence() for problem in self.problems))


def refuse_if_any(problems: list[Problem]) -> tuple[Problem, ...]:
    """Raise Refused when a fault is among the problems; return the warnings otherwise."""
    if any(not problem.warning for problem in problems):
        raise Refused(problems)
    return tuple(problems)


@dataclass(frozen=True)
class Source:
    """Where a number was seen."""

    text: str
    standing: Standing
    note: str = ""


@dataclass(frozen=True)
class Prior:
    """What is believed of one parameter before the house's own figures are seen.

    Families and their arguments: fixed (value), normal (mean, sd), lognormal (median, factor of one sd),
    uniform (low, high), loguniform (low, high). `low` and `high` bound every family. `drawn_as` is the name that
    decides its draws where that is not its own: a lot goes by another short name in every enquiry.
    """

    name: str
    meaning: str
    unit: str
    family: str
    arguments: tuple[float, ...]
    low: float
    high: float
    source: Source
    drawn_as: str = ""


@dataclass(frozen=True)
class Band:
    """Low, middle and high (5, 50 and 95 %) of one quantity."""

    low: float
    middle: float
    high: float

    @property
    def width(self) -> float:
        """Distance from low to high."""
        return self.high - self.low

    @property
    def includes_zero(self) -> bool:
        """Whether nothing at all may be the truth."""
        return self.low <= 0.0 <= self.high


@dataclass(frozen=True)
class Assumption:
    """One parameter a result rests on, as a person reads it."""

    name: str
    meaning: str
    unit: str
    band: Band
    standing: Standing
    source: str


class Verdict(StrEnum):
    """What a rule says of a bill."""

    PASS = "pass"
    FAIL = "fail"
    UNKNOWN = "unknown"
    DEPENDS = "depends on basis"


class Light(StrEnum):
    """How a board stands; each word is shown, never a colour alone."""

    GREEN = "in order"
    AMBER = "watch"
    RED = "not in order"
    UNKNOWN = "unknown"


class Outcome(Enum):
    """How a solver ended for one member; the value is the sentence shown."""

    SOLVED = "solved"
    NO_ROOT = "no value inside the table gives this reading"
    OUTSIDE = "the input lies outside the range the formula was made for"
