"""A cask, the store it lies in, what was filled and what is left."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Band, FloatArray, Standing


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


@dataclass(frozen=True)
class YearlyLosses:
    """A loss since filling in its four conventions [% per year]."""

    bulk_of_original: Band
    bulk_of_remaining: Band
    alcohol_of_original: Band
    alcohol_of_remaining: Band


@dataclass(frozen=True)
class CaskYear:
    """A cask after so many years: strength, and what is left of the fill [%]."""

    years: float
    abv_pct: Band
    alcohol_left_pct: Band
    bulk_left_pct: Band


@dataclass(frozen=True)
class CaskOutlook:
    """What the cask of a plan does: year by year, its losses, and when it falls under the legal floor."""

    cask: str
    store: str
    entry_abv_pct: float
    years: tuple[CaskYear, ...]
    losses: YearlyLosses | None  # None for less than a month
    floor_abv_pct: float
    floor_years: Band | None  # years in the cask until strength falls under the floor; None where it never does
    floor_chance: float
    looked_years: int  # how far the floor was looked for
    store_humidity: float
    neutral_humidity: Band
    rests_on: tuple[str, ...]
