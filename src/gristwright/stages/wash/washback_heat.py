"""The heat of one litre in a washback: made, carried off with the gas, through the wall, to the cooling.

Page: docs/wash.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import FloatArray


@dataclass(frozen=True)
class Heat:
    """Heat of a litre [kJ/L/h] and the ways it goes [kJ/L/h/K]; (members,)."""

    made: FloatArray
    with_gas: FloatArray
    wall: FloatArray
    cooling: FloatArray


def warmed(
    degC: FloatArray, room_degC: FloatArray, heat: Heat, hours: float, holds_kJ_per_L_K: float
) -> tuple[FloatArray, FloatArray]:
    """Temperature after so many hours without cooling [degC], and heat lost through the wall [kJ/L]; (members,).

    Exact for heat made at a steady pace, so that a small vessel needs no smaller step.
    """
    gained = (heat.made - heat.with_gas) * hours
    exponent = heat.wall * hours / holds_kJ_per_L_K
    stays = mean_kept(exponent)
    warm = room_degC + (degC - room_degC) * np.exp(-exponent) + gained / holds_kJ_per_L_K * stays
    return np.asarray(warm), np.asarray(gained - holds_kJ_per_L_K * (warm - degC))


def cooled(
    degC: FloatArray, from_degC: FloatArray, water_degC: FloatArray, heat: Heat, hours: float, holds_kJ_per_L_K: float
) -> FloatArray:
    """Temperature after cooling that begins at `from_degC` and takes what it can [degC]; (members,)."""
    can = np.maximum(heat.cooling * (degC - water_degC) * hours / holds_kJ_per_L_K, 0.0)
    return np.where(degC > from_degC, np.maximum(from_degC, degC - can), degC)


def mean_kept(exponent: FloatArray) -> FloatArray:
    """Mean share left over a step in which so much goes as an exponent; shape of the exponent."""
    return np.asarray(np.where(exponent > 1e-9, -np.expm1(-exponent) / np.maximum(exponent, 1e-12), 1.0))
