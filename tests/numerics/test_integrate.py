"""The fixed step has the order it claims."""

import numpy as np
import pytest

from gristwright.numerics.integrate import rk4_step


def test_fourth_order_on_a_decay():
    def end(steps: int) -> float:
        y = np.array([1.0])
        for k in range(steps):
            y = rk4_step(lambda _t, x: -2.0 * x, k / steps, y, 1.0 / steps)
        return float(y[0])

    exact = float(np.exp(-2.0))
    assert (end(10) - exact) / (end(20) - exact) == pytest.approx(16.0, rel=0.2)
