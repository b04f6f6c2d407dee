"""Fixed-step Runge-Kutta over all members at once; every stage that integrates a rate takes its steps here."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from gristwright.basics import FloatArray

At = TypeVar("At")


def rk4_step(
    rate: Callable[[At, FloatArray], FloatArray], at: tuple[At, At, At], y: FloatArray, step: float
) -> FloatArray:
    """One classical fourth-order step; `y` has any shape, the same as `rate` returns.

    `at` names the start, the middle and the end of the step as `rate` knows them: times, or numbers of half steps.
    """
    start, middle, end = at
    half = 0.5 * step
    k1 = rate(start, y)
    k2 = rate(middle, y + half * k1)
    k3 = rate(middle, y + half * k2)
    k4 = rate(end, y + step * k3)
    # One fresh array for the sum: with many members each further one costs as much as the arithmetic.
    total = k2 + k3
    total *= 2.0
    total += k1
    total += k4
    total *= step / 6.0
    total += y
    return total
