"""The members of one batch: weighted draws, and behind them what shows on which inputs a value rests.

See docs/numbers.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Band, BoolArray, Draws, FloatArray
from gristwright.numerics import weights as weighted

# A value that moves by less than this part of itself does not move: members differ in the last digits by where they
# stand in a batch.
STILL = 1e-9


@dataclass(frozen=True)
class Runs:
    """Draws with their weights (draws,) and, where inputs were moved one at a time, one member at every middle and two
    for each of the `moved` inputs, at its 5 and at its 95 %. A value of the batch has the shape (members,)."""

    weights: FloatArray
    moved: tuple[str, ...] = ()

    def on_draws(self, values: FloatArray) -> FloatArray:
        """The values on the draws alone, (draws,)."""
        return np.asarray(values[: len(self.weights)])

    def band(self, values: FloatArray) -> Band:
        """Low, middle and high over the draws."""
        return weighted.band(self.on_draws(values), self.weights)

    def chance(self, mask: BoolArray) -> float:
        """Weight of the draws that a mask (members,) marks."""
        return float(np.sum(self.weights[mask[: len(self.weights)]]))

    def rests_on(self, *values: FloatArray) -> tuple[str, ...]:
        """The inputs whose move moves one of the values; none where no inputs were moved."""
        moves_any = np.zeros(len(self.moved), dtype=np.bool_)
        for value in values:
            if self.moved and np.size(value) > len(self.weights):
                middle, ends = self._moved(value)
                moves_any |= _differ(ends, middle).any(axis=1)
        return tuple(name for name, moves in zip(self.moved, moves_any, strict=True) if moves)

    def effects(self, values: FloatArray) -> dict[str, Band]:
        """For each input that moves the value, the value at the input's low, middle and high."""
        middle, ends = self._moved(values)
        named = set(self.rests_on(values))
        return {
            name: Band(float(low), middle, float(high))
            for name, (low, high) in zip(self.moved, ends, strict=True)
            if name in named
        }

    def _moved(self, values: FloatArray) -> tuple[float, FloatArray]:
        behind = values[len(self.weights) :]
        return float(behind[0]), behind[1:].reshape(-1, 2)


def _differ(ends: FloatArray, middle: float) -> BoolArray:
    """Which values are not the middle one; a value that cannot be had differs from one that can."""
    if np.isnan(middle):
        return ~np.isnan(ends)
    return np.asarray(~(np.abs(ends - middle) <= STILL * abs(middle) + 1e-12))


def with_moved(draws: Draws, middles: Draws, ends: Mapping[str, tuple[float, float]]) -> Draws:
    """Draws (draws,) with one member at the middles (1,) behind them and two for each input, at its two `ends`."""
    place = {name: 1 + 2 * k for k, name in enumerate(ends)}
    columns = {}
    for name, column in draws.items():
        behind = np.repeat(middles[name], 1 + 2 * len(ends))
        if name in place:
            behind[place[name] : place[name] + 2] = ends[name]
        columns[name] = np.concatenate([column, behind])
    return columns
