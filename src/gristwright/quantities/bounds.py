"""Arguments that may be a number or an array of members, and the refusal of those outside a formula's range."""

from __future__ import annotations

import datetime as dt
from typing import TypeVar, cast

import numpy as np

from gristwright.basics import FloatArray, Problem, Refused

HAIR = 1e-12
# Days that a cask, a law or a plan can be of; beyond them no calendar has a year to add.
FIRST_DAY, LAST_DAY = dt.date(1900, 1, 1), dt.date(2199, 12, 31)

# A function that takes N gives back N: a float for a float, an array for an array of members.
N = TypeVar("N", float, FloatArray)


def like_input(result: FloatArray) -> float | FloatArray:
    """A float when the result has no axis, else the array itself."""
    return float(result) if np.ndim(result) == 0 else result


def outside(where: str, value: float | FloatArray, low: float, high: float, unit: str, way_out: str) -> list[Problem]:
    """One problem when any member lies outside low..high; NaN marks a member that failed before and passes."""
    values = np.atleast_1d(np.asarray(value, dtype=np.float64))
    # A hair is let through, so that a converted 200 US proof is not refused for its last bit.
    beyond = (values < low - HAIR * max(1.0, abs(low))) | (values > high + HAIR * max(1.0, abs(high)))
    if not beyond.any():
        return []
    first = f"{values[beyond].flat[0]:.10g} {unit}".rstrip()
    limits = f"{low:.6g} to {high:.6g} {unit}".rstrip()
    if values.size == 1:
        return [Problem(where, f"{first} lies outside {limits}.", way_out)]
    count = int(beyond.sum())
    return [Problem(where, f"{count} of {values.size} members lie outside {limits}, the first is {first}.", way_out)]


def refuse_outside(
    where: str, value: float | FloatArray, low: float, high: float, unit: str, way_out: str = ""
) -> None:
    """Raise Refused when any member lies outside low..high."""
    problems = outside(where, value, low, high, unit, way_out)
    if problems:
        raise Refused(problems)


def day_outside(day: dt.date) -> str:
    """What is said of a day that nothing here can be of; nothing of any other."""
    return "" if FIRST_DAY <= day <= LAST_DAY else f"{day} is outside {FIRST_DAY.year} to {LAST_DAY.year}."


def as_given(result: object, _like: N) -> N:
    """The result typed as the main argument was."""
    return cast("N", like_input(cast("FloatArray", result)))
