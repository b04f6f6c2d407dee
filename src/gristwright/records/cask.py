"""A cask, the store it lies in, what was filled and what is left."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import FloatArray, Standing


@dataclass(frozen=True)
class CaskKind:
    """Wood and shape of a cask."""

    name: str
    capacity_L: float
    wall_mm: float = 25.0
    wood: str = "oak"
    fill_number: int = 1
    charred: bool = True
    prior_contents: str = ""


@dataclass(frozen=True)
class Climate:
    """Twelve months of a store, January first: mean temperature [degC] and relative humidity [0..1]."""

    name: str
    month_degC: tuple[float, ...]
    month_humidity: tuple[float, ...]
    source: str = ""
    standing: Standing = Standing.MEASURED


@dataclass(frozen=True)
class CaskFill:
    """What goes into a cask: litres and strength at 20 degC, the month of filling (1..12) and the months it lies."""

    kind: CaskKind
    entry_abv_pct: float
    fill_L: float
    months: int
    first_month: int = 1


@dataclass(frozen=True)
class MaturedCask:
    """A cask after its months; every array has shape (members,). Litres and strength at 20 degC."""

    volume_L: FloatArray
    abv_pct: FloatArray
    lpa_L: FloatArray
    filled_lpa_L: float
    evaporated_lpa_L: FloatArray
    left_in_wood_lpa_L: FloatArray
    month_volume_L: FloatArray  # (months + 1, members)
    month_abv_pct: FloatArray  # (months + 1, members)
    balance_error: float
