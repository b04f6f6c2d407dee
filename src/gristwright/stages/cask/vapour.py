"""Vapour pressures over ethanol and water at the temperature of a store. See docs/cask.md."""

from __future__ import annotations

from functools import cache
from typing import TypeVar

import numpy as np

from gristwright.basics import FloatArray
from gristwright.reference.load import csv_rows

Number = TypeVar("Number", float, FloatArray)

KPA_PER_MMHG = 101.325 / 760.0
ETHANOL_KG_PER_KMOL = 46.069
WATER_KG_PER_KMOL = 18.015


@cache
def constant(symbol: str) -> float:
    """One constant of the table of the model, in the unit of its row. KeyError for an unknown symbol."""
    return {row["symbol"]: float(row["value"]) for row in csv_rows("tables/cask_constants.csv")}[symbol]


def water_saturation_kPa(degC: float) -> float:
    """Vapour pressure of pure water [kPa] at degC. Magnus form, Alduchov & Eskridge 1996."""
    exponent = constant("magnus_slope") * degC / (degC + constant("magnus_degC"))
    return float(constant("magnus_kPa") * np.exp(exponent))


def ethanol_saturation_kPa(degC: float) -> float:
    """Vapour pressure of pure ethanol [kPa] at degC. Antoine form, handbook constants."""
    exponent = constant("antoine_a") - constant("antoine_b") / (degC + constant("antoine_c"))
    return float(KPA_PER_MMHG * 10.0**exponent)


def mole_share(mass_share: Number) -> Number:
    """Mole share of ethanol [0..1] from its mass share [0..1]; any shape."""
    moles = mass_share / ETHANOL_KG_PER_KMOL
    return moles / (moles + (1.0 - mass_share) / WATER_KG_PER_KMOL)


def activities(mass_share: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Activity of ethanol and of water [0..1] over a liquid with this mass share of ethanol; any shape.

    van Laar equation with its constants at 1 atm, used at store temperature as an approximation.
    """
    ethanol, water = constant("van_laar_ethanol"), constant("van_laar_water")
    x = np.asarray(mole_share(mass_share))
    mixed = ethanol * x + water * (1.0 - x)
    log_ethanol = ethanol * (water * (1.0 - x) / mixed) ** 2
    log_water = water * (ethanol * x / mixed) ** 2
    return x * np.exp(log_ethanol), (1.0 - x) * np.exp(log_water)
