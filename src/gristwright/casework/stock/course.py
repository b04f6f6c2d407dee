"""Casks times members through their ledgers and onward: what regauging and forecasting share. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.cask import Climate
from gristwright.records.stock import CaskEvent, StockCask
from gristwright.stages.cask import course, model, strides
from gristwright.stages.cask.content import masses_kg, volume_and_strength
from gristwright.stages.cask.course import IntArray


@dataclass(frozen=True)
class Convoy:
    """Casks side by side, each with the same number of members; walls are flat (casks * members,)."""

    casks: tuple[StockCask, ...]
    members: int
    walls: course.Walls
    air: course.Air
    stores: dict[str, int]
    filled: IntArray  # (casks,)
    large: bool = False  # each cask in long steps of its own

    def store_at(self, names: Sequence[str]) -> IntArray:
        """Index of the air of each cask's store, (casks,); a store with none of its own has the common one."""
        common = self.stores.get("", 0)
        return np.array([self.stores.get(name, common) for name in names], dtype=np.int64)

    def travel(
        self, state: FloatArray, start: IntArray, end: IntArray, store: IntArray, marks: Sequence[int] = ()
    ) -> tuple[FloatArray, FloatArray]:
        """The state (6, casks, members) from a day to a day, each (casks,), and ethanol and water at the marks."""
        flat = state.reshape(6, -1)
        columns = [np.repeat(column, self.members) for column in (store, start, end, self.filled)]
        run = strides.run if self.large else course.run
        out, seen = run(flat, self.walls, self.air, course.Journey(*columns), marks)
        return out.reshape(state.shape), seen.reshape(len(marks), 2, *state.shape[1:])


def convoy(
    casks: Sequence[StockCask],
    climates: dict[str, Climate],
    loss: FloatArray,
    water: FloatArray,
    draws: Draws,
    large: bool = False,
) -> Convoy:
    """Casks whose losses are (casks, members) times the middle model's, and whose water permeance is so too.

    `draws` has columns (members,) or (1,) for what the wood drinks and gives; its time constant is one for all.
    """
    shape = loss.shape
    walls = model.walls_of(_shells(casks), loss, water, draws)
    columns = (walls.ethanol_pass, walls.water_pass, walls.soak_kg, walls.given_water_kg, walls.fill_kg)
    ethanol, into, soak, given, fill_kg = (np.broadcast_to(column, shape).ravel() for column in columns)
    names = list(climates)
    return Convoy(
        tuple(casks),
        shape[1],
        course.Walls(ethanol, into, soak, given, walls.soak_years, fill_kg),
        course.air_of([climates[name] for name in names]),
        {name: number for number, name in enumerate(names)},
        np.array([cask.filled.toordinal() for cask in casks], dtype=np.int64),
        large,
    )


def _shells(casks: Sequence[StockCask]) -> model.Shell:
    """The shells of casks, arrays (casks, 1)."""
    each = [model.shell_of(cask.kind, cask.fill_L, cask.fill_abv_pct) for cask in casks]
    return model.Shell(*(np.stack([getattr(one, field.name) for one in each]) for field in fields(model.Shell)))


def filled_state(casks: Sequence[StockCask], members: int) -> FloatArray:
    """The state [kg] on the day of filling, (6, casks, members)."""
    litres, abv = np.array([(cask.fill_L, cask.fill_abv_pct) for cask in casks]).T
    return _state_of(litres, abv, members)


def _state_of(litres: FloatArray, abv_pct: FloatArray, members: int) -> FloatArray:
    state = np.zeros((6, len(litres), members))
    state[0], state[1] = (np.broadcast_to(kg[:, None], (len(litres), members)) for kg in masses_kg(litres, abv_pct))
    return state


def take_litres(state: FloatArray, litres: FloatArray) -> FloatArray:
    """Ethanol and water [kg], (2, casks, members), that litres (casks,) drawn at the strength inside take along."""
    inside, _ = volume_and_strength(state[0], state[1])
    share = np.clip(litres[:, None] / np.maximum(inside, 1e-9), 0.0, 1.0)
    return np.asarray(state[:2] * share)


def change(state: FloatArray, rows: IntArray, events: Sequence[CaskEvent]) -> None:
    """What samples and toppings do to the state of some casks, in place."""
    for row, event in zip(rows, events, strict=True):
        if event.what == "sampled":
            state[:2, row] -= take_litres(state[:, row : row + 1], np.array([event.litres]))[:, 0]
        elif event.what == "topped":
            ethanol, water = masses_kg(event.litres, event.abv_pct)
            state[0, row] += ethanol
            state[1, row] += water


def days(dates: Sequence[dt.date]) -> IntArray:
    """Dates as proleptic ordinals."""
    return np.array([date.toordinal() for date in dates], dtype=np.int64)


def own(cask: StockCask) -> int:
    """A number of the cask's own, so that its draws do not depend on what else lies in the stock."""
    return zlib.crc32(cask.cask_id.encode())
