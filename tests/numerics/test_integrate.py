"""The fixed step has the order it claims."""

import numpy as np
import pytest

from gristwright.numerics.integrate import rk4_step


def test_fourth_order_on_a_decay():
    def end(steps: int) -> float:
        y = np.array([1.0])
        for k in range(steps):
            y = rk4_step(lambda _t, x: -2.0 * x, (k / steps, (k + 0.5) / steps, (k + 1) / steps), y, 1.0 / steps)
        return float(y[0])

    exact = float(np.exp(-2.0))
    assert (end(10) - exact) / (end(20) - exact) == pytest.approx(16.0, rel=0.2)


def test_the_rate_is_asked_at_start_middle_middle_end():
    asked = []

    def rate(at: str, y: np.ndarray) -> np.ndarray:
        asked.append(at)
        return np.zeros_like(y)

    rk4_step(rate, ("start", "middle", "end"), np.array([1.0]), 1.0)
    assert asked == ["start", "middle", "middle", "end"]


def test_a_rate_that_hands_out_its_own_array_keeps_it():
    slope, y = np.array([3.0]), np.array([1.0])
    assert rk4_step(lambda _t, _y: slope, (0, 1, 2), y, 2.0) == pytest.approx([7.0])
    assert (slope, y) == (np.array([3.0]), np.array([1.0]))
