"""Diastatic power: Windisch-Kolbach, Lintner and IoB units, and blending on a zero-based scale. See docs/quantities.md.

Two lines between Windisch-Kolbach and Lintner are in use and they differ; neither reproduces the three columns that
maltsters print side by side. Every conversion therefore carries the spread of the methods, 12 % either way.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Generic

import numpy as np

from gristwright.basics import FloatArray, Problem, Refused
from gristwright.quantities.bounds import N, as_given, refuse_outside

# Spread of a converted value, both ways, from what specifications print side by side. Standing: derived.
METHOD_SPREAD = 0.12
# Middle of the ratios that two specifications print: 165/150 and 45/40; 500/150 and 140/40. Standing: derived.
LINTNER_PER_IOB, WK_PER_IOB = 1.1125, 3.4167


class DegreeLine(StrEnum):
    """A line between Windisch-Kolbach and Lintner units; the value is its formula."""

    OFFSET = "degLintner = (degWK + 16) / 3.5"
    SHALLOW = "degLintner = 0.3 degWK + 4"


class Unit(StrEnum):
    """A unit of diastatic power; kept beside the value on every certificate."""

    WK = "degWK"
    LINTNER = "degLintner"
    IOB = "degIoB"


@dataclass(frozen=True)
class Power(Generic[N]):
    """A converted diastatic power with how it was converted and how far the methods spread."""

    value: N
    low: N
    high: N
    unit: Unit
    method: str
    other_line: N
    other_method: str


def lintner_from_wk(wk: N, line: DegreeLine = DegreeLine.OFFSET) -> N:
    """Degrees Lintner of Windisch-Kolbach units [degWK] by one of the two lines.

    Meaningless near zero: no enzyme is 0 degWK and 0 degLintner, on both scales. Zero stays zero.
    """
    value = (wk + 16.0) / 3.5 if line is DegreeLine.OFFSET else 0.3 * wk + 4.0
    return as_given(np.where(np.asarray(wk) == 0.0, 0.0, value), wk)


def wk_from_lintner(lintner: N, line: DegreeLine = DegreeLine.OFFSET) -> N:
    """Windisch-Kolbach units [degWK] of degrees Lintner by one of the two lines. Zero stays zero.

    Raises Refused between zero and the offset of the line (4.6 or 4.0 degLintner), where it would give less than none.
    """
    value = np.asarray(3.5 * lintner - 16.0 if line is DegreeLine.OFFSET else (lintner - 4.0) / 0.3)
    value = np.where(np.asarray(lintner) == 0.0, 0.0, value)
    if np.any(value < 0.0):
        offset = 16.0 / 3.5 if line is DegreeLine.OFFSET else 4.0
        what = f"degrees Lintner between 0 and the offset of the line, {offset:.1f}, have no value in degWK."
        raise Refused([Problem("diastatic power", what, "Keep such a value in degLintner.")])
    return as_given(value, lintner)


def _route(value: N, unit: Unit, to: Unit, line: DegreeLine) -> tuple[N, str]:
    """The converted value and the words for how."""
    if unit is to:
        return value, "as given"
    if unit is Unit.WK and to is Unit.LINTNER:
        return lintner_from_wk(value, line), line.value
    if unit is Unit.LINTNER and to is Unit.WK:
        return wk_from_lintner(value, line), line.value
    factor = LINTNER_PER_IOB if Unit.LINTNER in (unit, to) else WK_PER_IOB
    other = to if unit is Unit.IOB else unit
    words = f"{other.value} = {factor} degIoB (ratio of specifications printing both)"
    return (value * factor if unit is Unit.IOB else value / factor), words


def convert(value: N, unit: Unit | str, to: Unit | str, line: DegreeLine = DegreeLine.OFFSET) -> Power[N]:
    """A diastatic power in another unit, with both lines and the +-12 % spread of the methods.

    Shapes: float or (members,). Raises Refused for a negative value.
    """
    refuse_outside("diastatic power", value, 0.0, np.inf, str(unit), "Give zero or more.")
    unit, to = Unit(unit), Unit(to)
    other = DegreeLine.SHALLOW if line is DegreeLine.OFFSET else DegreeLine.OFFSET
    converted, method = _route(value, unit, to, line)
    other_value, other_method = _route(value, unit, to, other)
    spread = 0.0 if unit is to else METHOD_SPREAD
    return Power(
        converted, converted * (1.0 - spread), converted * (1.0 + spread), to, method, other_value, other_method
    )


def mismatch_pct(printed: float, converted: float) -> float:
    """How far a printed value lies from the converted one [% of the converted]; beyond 10 the methods differ."""
    return 100.0 * (printed / converted - 1.0)


def blend_degLintner(shares: FloatArray, degLintner: FloatArray) -> FloatArray:
    """Diastatic power of blends [degLintner] from mass shares (bills, lots) and the lots' powers (lots,) -> (bills,).

    Convert every lot to degLintner first and give grain without usable enzyme (raw, caramel, roasted) zero: the scale
    in degWK has an offset and cannot be averaged with zeros. Raises Refused when the shares of a bill do not add to 1.
    """
    totals = np.sum(shares, axis=-1)
    if np.any(np.abs(totals - 1.0) > 1e-9):
        worst = float(np.ravel(totals)[np.argmax(np.abs(np.ravel(totals) - 1.0))])
        what = f"they add to {worst:.6g}, not to 1."
        raise Refused([Problem("shares", what, "Give mass fractions of the whole bill.")])
    return np.asarray(shares @ degLintner)
