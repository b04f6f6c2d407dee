"""The lines the boards of the grist are judged by. Data: reference/tables/board_floors.*; page: docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import FloatArray, Light
from gristwright.records.lot import Material
from gristwright.records.plant import Rest
from gristwright.reference import csv_rows
from gristwright.reference.grains import mashed, sticky

AMBER_SHARE, RED_SHARE = 0.05, 0.5


@dataclass(frozen=True)
class Floor:
    """One line: its value, unit, meaning, standing and source."""

    value: float
    unit: str
    meaning: str
    standing: str
    source: str


@cache
def floor(key: str) -> Floor:
    """The line of that name."""
    row = next(row for row in csv_rows("tables/board_floors.csv") if row["key"] == key)
    return Floor(float(row["value"]), row["unit"], row["meaning"], row["standing"], row["source"])


def at(key: str) -> float:
    """The value of one line."""
    return floor(key).value


def light_of(probability_red: float, comfortable: bool) -> Light:
    """Green when comfortable and hardly ever red, red when more likely red than not."""
    if probability_red > RED_SHARE:
        return Light.RED
    return Light.GREEN if comfortable and probability_red <= AMBER_SHARE else Light.AMBER


def share_where(shares: FloatArray, chosen: Sequence[bool]) -> float:
    """Summed share (0 to 1) of the lots chosen; `shares` (lots,)."""
    return float(np.sum(np.asarray(shares)[np.asarray(chosen, dtype=np.bool_)]))


def sticky_share(shares: FloatArray, materials: Sequence[Material]) -> FloatArray:
    """Share (0 to 1) of grain whose mash is thick and foams, malted or not: rye; `shares` (..., lots)."""
    each = [0.0 if m.husk else float(mashed(m.species, m.key).sticky) for m in materials]
    return np.asarray(np.asarray(shares) @ np.array(each))


def sticky_words() -> str:
    """The grains that are so, in words."""
    return " or ".join(sticky())


def dark_share(shares: FloatArray, materials: Sequence[Material]) -> float:
    """Share (0 to 1) of caramel and roasted grain; `shares` (lots,)."""
    return share_where(shares, [material.dark for material in materials])


def rest_min(rests: Sequence[Rest], low_degC: float, high_degC: float) -> float:
    """Minutes that a mash stands between two temperatures, both included."""
    return sum(rest.minutes for rest in rests if low_degC <= rest.settled_degC <= high_degC)
