"""Words every floor shares: a fault, a refusal, the source of a number, a prior, draws. See docs/house.md."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum, StrEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]

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


@dataclass(frozen=True)
class Problem:
    """One fault of an input in one sentence: where it stands, what is wrong, the limit, the way out."""

    where: str
    what: str
    way_out: str = ""
    warning: bool = False

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
