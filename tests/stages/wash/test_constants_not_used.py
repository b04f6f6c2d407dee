"""Published constants that no model uses as they stand: unscaled they fail on a measured fermentation.

Agave juice of 119 g/L at 28 degC with 1e8 cells in a millilitre, three times (tests/outside/data): 90 % of the sugar is
gone after 23 to 31 h. A dry mass for so many cells is not in the data: 3 to 4 g/L by a usual cell; fewer are tried too.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from gristwright.basics import FloatArray
from gristwright.stages.wash.published import followed
from outside.adapters_wash import table

PITCHES = (0.3, 1.0, 3.0, 4.0)  # g/L of dry yeast
HOURS = [float(hour) for hour in range(41)]
KELVIN = 301.15


def measured_hours(part: float) -> list[float]:
    """Hours in which so much of the sugar went, for each of the three."""
    data = table("agave_wash.csv")
    sugar, found = data["glucose_g_per_L"] + data["fructose_g_per_L"], []
    for replicate in (1.0, 2.0, 3.0):
        own = data["replicate"] == replicate
        left = sugar[own] / sugar[own][0]
        after = int(np.argmax(left < 1.0 - part))
        pair = slice(after - 1, after + 1)
        found.append(float(np.interp(part, 1.0 - left[pair], data["hours"][own][pair])))
    return found


def oliveira_2017(_: float, y: FloatArray) -> FloatArray:
    """Cane sugar, flocculent yeast, 32 degC (doi 10.5772/65460)."""
    yeast, sugar, alcohol = y[0], np.maximum(y[1], 0.0), y[2]
    grows = 0.39 * sugar / (1.94 + sugar) * np.maximum(1.0 - alcohol / 88.1, 0.0) ** 0.16 * (1.0 - yeast / 114.0)
    makes = 1.16 * sugar / (2.6 + sugar) * np.maximum(1.0 - alcohol / 126.5, 0.0) * yeast
    return np.array([grows * yeast, -makes / 0.45, makes])


def warren_1990(_: float, y: FloatArray) -> FloatArray:
    """Continuous culture in a rich medium (Biotechnol. Prog. 6:319-325)."""
    yeast, sugar, alcohol = y[0], np.maximum(y[1], 0.0), y[2]
    grows = 0.427 * sugar / (0.245 + sugar) * np.maximum(1.0 - (alcohol / 101.6) ** 1.95, 0.0) * yeast
    return np.array([grows, -grows / (0.152 * (1.0 - alcohol / 302.3)), grows / 0.291])


def textbook(_: float, y: FloatArray) -> FloatArray:
    """Glucose with its death as printed, 0.18 1/h at 30 degC."""
    yeast, sugar, alcohol = y[0], np.maximum(y[1], 0.0), y[2]
    fastest = 0.33 * np.exp(-((KELVIN - 303.0) ** 2) / 200.0)
    grows = fastest * np.maximum(1.0 - alcohol / 93.0, 0.0) ** 0.52 * sugar / (1.7 + sugar) * yeast
    takes = grows / 0.08 + 0.03 * yeast * sugar / (1.7 + sugar)
    return np.array([grows - 12e8 * np.exp(-6860.0 / KELVIN) * yeast, -takes, 0.45 * takes])


def run(rate: Callable[[float, FloatArray], FloatArray]) -> tuple[FloatArray, FloatArray]:
    """Share of the sugar gone and living yeast, (hours, pitches)."""
    y = np.array([PITCHES, [119.0] * len(PITCHES), [0.0] * len(PITCHES)])
    states = followed(rate, y, HOURS, 0.01)
    return 1.0 - states[:, 1] / 119.0, states[:, 0]


def test_the_measured_course() -> None:
    assert np.round(measured_hours(0.5), 1).tolist() == [15.7, 20.4, 16.7]
    assert np.round(measured_hours(0.9), 1).tolist() == [26.3, 30.3, 23.5]


@pytest.mark.parametrize("rate", [oliveira_2017, warren_1990], ids=["oliveira 2017", "warren 1990"])
def test_far_too_fast_at_any_pitch(rate: Callable[[float, FloatArray], FloatArray]) -> None:
    gone, _ = run(rate)
    assert np.all(gone[16] > 0.9)
    assert min(measured_hours(0.9)) > 23.0


def test_the_textbook_set_is_too_fast_at_that_pitch_and_its_death_leaves_no_yeast_at_any() -> None:
    gone, alive = run(textbook)
    assert np.all(gone[9, 2:] > 0.99), "3 and 4 g/L"
    assert np.all(alive[40] < 0.1 * alive.max(axis=0))
