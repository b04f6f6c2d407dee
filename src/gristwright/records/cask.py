"""A cask, the store it lies in, what was filled and what is left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

from gristwright.basics import Band, FloatArray, Standing
from gristwright.records.fields import Described, Number

# What can be filled, whether or not the model of the cask reaches there (stages/cask/limits.py) and a law lets it.
EntryStrength: TypeAlias = Annotated[float, Number("Strength at filling", "%vol", 40.0, 95.0)]
# Casks and vats, those above every legal limit too.
CAPACITY = Number("Capacity", "L", 2.0, 50_000.0)
WOOD = Described("Wood", "A tree by its English, German or botanical name, such as oak, Eiche or Quercus alba.")


@dataclass(frozen=True)
class CaskKind:
    """Wood and shape of a cask."""

    name: Annotated[str, Described("Kind of cask")]
    capacity_L: Annotated[float, CAPACITY]
    wall_mm: Annotated[float, Number("Thickness of the staves", "mm", 8.0, 60.0)] = 25.0
    wood: Annotated[str, WOOD] = "oak"
    fill_number: Annotated[int, Number("Which fill this is", "fills", 1, 9)] = 1
    charred: Annotated[bool, Described("Charred inside")] = True
    prior_contents: Annotated[str, Described("What lay in it before")] = ""


@dataclass(frozen=True)
class LaterStay:
    """Time in another cask or vat behind the first one, as the law asks about it; nothing of it is simulated."""

    years: Annotated[float, Number("Years in it", "years", 0.0, 50.0)]
    wood: Annotated[str, Described("Wood, or what it is of", "A tree as of the first cask, or steel, glass, …")]
    capacity_L: Annotated[float, CAPACITY] | None = None  # None, here and below: not known
    new: Annotated[bool, Described("New, nothing lay in it before")] | None = None
    charred: Annotated[bool, Described("Charred inside")] | None = None
    country: Annotated[str, Described("Country it lies in", "Empty: that of the house. Such as DE or GB-SCT.")] = ""


@dataclass(frozen=True)
class Climate:
    """Twelve months of a store, January first: mean temperature [degC] and relative humidity [0..1]."""

    name: Annotated[str, Described("Store")]
    month_degC: Annotated[tuple[float, ...], Described("Monthly means, January first, degC")]
    month_humidity: Annotated[tuple[float, ...], Described("Monthly relative humidity, 0 to 1")]
    source: Annotated[str, Described("Where the climate is from")] = ""
    standing: Annotated[Standing, Described("Standing of the climate")] = Standing.MEASURED


@dataclass(frozen=True)
class CaskFill:
    """What goes into a cask: litres and strength at 20 degC, the month of filling (1..12) and the months it lies."""

    kind: CaskKind
    entry_abv_pct: EntryStrength
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
    neutral_humidity: Band | None
    rests_on: tuple[str, ...]
    withheld: str = ""  # why nothing is forecast, in a sentence; then there are no years, losses or floor
