"""What the published fermentation models share: their steps, and the sentences of their ranges. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import Address, FloatArray, Problem
from gristwright.numerics.integrate import rk4_step
from gristwright.quantities.shown import outside
from gristwright.records.wash import WASH_MODEL

STEP_H, RECORD_H = 0.25, 6.0
ELSEWHERE = f"or take {WASH_MODEL}"
SHORTEST_STEP_H, LONGEST_STEP_H = 0.001, 0.25


def followed(
    rate: Callable[[float, FloatArray], FloatArray], y: FloatArray, times_h: Sequence[float], step_h: float
) -> FloatArray:
    """The states at so many times [h], (times, rows, members), in fixed steps that are never longer than `step_h`."""
    kept = [y]
    for start, end in pairwise(times_h):
        steps = max(ceil((end - start) / step_h - 1e-9), 1)
        step = (end - start) / steps
        for begun in (start + number * step for number in range(steps)):
            y = rk4_step(rate, (begun, begun + 0.5 * step, begun + step), y, step)
        kept.append(y)
    return np.array(kept)


def times(hours: float, record_h: float, corners_h: Iterable[float] = ()) -> list[float]:
    """When a course is told [h]: every `record_h`, at the corners of its temperature, and at its end."""
    regular = np.arange(0.0, hours, record_h)
    return sorted({0.0, hours, *map(float, regular), *(hour for hour in corners_h if 0.0 < hour < hours)})


def range_problems(
    where: Address, values: ArrayLike, limits: tuple[float, float], unit: str, way_out: str
) -> list[Problem]:
    """One sentence when any of these numbers lies outside a range; what is no number does."""
    low, high = limits
    flat = np.ravel(np.asarray(values, dtype=float))
    wrong = flat[~((flat >= low) & (flat <= high))]
    if not wrong.size:
        return []
    if np.any(np.isnan(wrong)):
        return [Problem(where, f"is not a number; the model knows {low:g}-{high:g} {unit}.", way_out)]
    furthest = float(wrong[np.argmax(np.maximum(low - wrong, wrong - high))])
    return [Problem(where, outside(furthest, low, high, unit), way_out)]


def step_problems(where: Address, step_h: float, record_h: float) -> list[Problem]:
    """Steps too long to be stable, or too short to end."""
    way_out = f"Leave it at {STEP_H:g} h."
    steps = range_problems(where.to("step_h"), step_h, (SHORTEST_STEP_H, LONGEST_STEP_H), "h", way_out)
    way_out = f"Leave it at {RECORD_H:g} h."
    return steps + range_problems(where.to("record_h"), record_h, (SHORTEST_STEP_H, 1e4), "h", way_out)
