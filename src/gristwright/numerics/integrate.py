"""Fixed-step Runge-Kutta over all members at once."""

from __future__ import annotations

from collections.abc import Callable

from gristwright.basics import FloatArray


def rk4_step(rate: Callable[[float, FloatArray], FloatArray], t: float, y: FloatArray, step: float) -> FloatArray:
    """One classical fourth-order step; `y` has any shape, the same as `rate` returns."""
    half = 0.5 * step
    k1 = rate(t, y)
    k2 = rate(t + half, y + half * k1)
    k3 = rate(t + half, y + half * k2)
    k4 = rate(t + step, y + step * k3)
    return y + (step / 6.0) * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
