"""What was read of casks under test before a sentence is made of it. Page: docs/ageing.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import FloatArray
from gristwright.numerics.quadratic import Form, ValueSet
from gristwright.records.ageing import AgeLine, CaskFacts, MaltLine

# One age for all markers is given up below this p-value.
AGREE_AT = 0.05


@dataclass(frozen=True)
class AgeReading:
    """What inverse prediction hands back, whichever model was used. Arrays (members,).

    An age for each member with the ages that cannot be excluded.

    `weakness` is Fieller's g: from 1 on no finite interval exists. `agreement` is the p-value of one age for all
    markers, NaN for a single marker.
    """

    estimate: FloatArray  # [years]
    ages: ValueSet  # [years]
    weakness: FloatArray
    agreement: FloatArray
    freedom: float

    def older_than(self, years: float) -> NDArray[np.bool_]:
        """Whether the whole interval lies above an age."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.ages.form == Form.INTERVAL) & (self.ages.low > years))

    def younger_than(self, years: float) -> NDArray[np.bool_]:
        """Whether the whole interval lies below an age."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.ages.form == Form.INTERVAL) & (self.ages.high < years))


@dataclass(frozen=True)
class MeasuredCask:
    """A cask at one age: means of its samples."""

    name: str
    arm: str
    years: float
    facts: CaskFacts
    values: dict[str, float]


@dataclass(frozen=True)
class Chemistry:
    """The lines of an arm's markers, and all of them together where they make an age."""

    lines: tuple[AgeLine, ...]
    reading: AgeReading | None
    agreement: float | None
    casks: int
    one_marker: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Panel:
    """The panel's line of maturity, a line for each other note, and what its notes of immaturity or age read together.

    Where maturity could not be read the notes take its place, and `scale` says so.
    """

    line: AgeLine | None
    reading: AgeReading | None
    malt: tuple[MaltLine, ...]
    reason: str
    scale: str = "maturity scale"
    unread: tuple[str, ...] = ()  # notes that were to be read for age and say nothing
    notes_line: AgeLine | None = None
    notes: AgeReading | None = None
    notes_scale: str = ""


@dataclass(frozen=True)
class Evidence:
    """All that was read of one arm at one age."""

    arm: str
    years: float
    casks: tuple[MeasuredCask, ...]
    ladder: tuple[MeasuredCask, ...]  # the comparable ones
    oldest: float  # of the whole ladder
    alike: tuple[str, ...]  # why it cannot be compared
    short: str  # why there is no ladder
    chemistry: Chemistry
    panel: Panel
