"""What is in a cask and how much wood holds it: masses, litres, strength, area. See docs/cask.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray
from gristwright.quantities import alcoholometry
from gristwright.quantities.mixing import TINY_KG, lpa_from_kg, masses_kg, volume_and_strength
from gristwright.records.cask import CaskKind
from gristwright.stages.cask import vapour

__all__ = [
    "TINY_KG",
    "inside_area_m2",
    "is_new_wood",
    "litres_of",
    "lpa_from_kg",
    "masses_kg",
    "pass_m2",
    "volume_and_strength",
]

# Rows of the state, each of shape (members,) [kg]: what is in the cask, what has left it, what the wood holds.
ETHANOL, WATER, ETHANOL_OUT, WATER_OUT, ETHANOL_IN_WOOD, WATER_IN_WOOD = range(6)
# A cask with less than this share of its fill has run dry: it has no strength worth the name.
RUN_DRY = 0.01
AT_ONCE = 8192


def inside_area_m2(capacity_L: float) -> float:
    """Inside area [m2] of a cask of this capacity, similar in shape to a 200 L barrel."""
    return float(vapour.constant("area_200L_m2") * (capacity_L / 200.0) ** (2.0 / 3.0))


def pass_m2(kind: CaskKind) -> float:
    """Inside area [m2] times 25 mm over the wall: what a permeance of a 25 mm wall is multiplied by."""
    return inside_area_m2(kind.capacity_L) * vapour.constant("wall_mm") / kind.wall_mm


def is_new_wood(kind: CaskKind) -> bool:
    """Whether the cask is filled for the first time with anything."""
    return kind.fill_number == 1 and not kind.prior_contents


def litres_of(ethanol_kg: FloatArray, water_kg: FloatArray) -> FloatArray:
    """Litres at 20 degC of these masses [kg]; same shape. OIML R 22, piece by piece so that it stays in the cache."""
    coefficients = alcoholometry.coefficients()[0][::-1]
    out = np.empty_like(ethanol_kg)
    flat = ethanol_kg.reshape(-1), water_kg.reshape(-1), out.reshape(-1)
    for start in range(0, out.size, AT_ONCE):
        ethanol, water, litres = (array[start : start + AT_ONCE] for array in flat)
        total = np.maximum(ethanol + water, TINY_KG)
        share = np.maximum(ethanol, 0.0) / total
        density = np.full_like(share, coefficients[0])
        for coefficient in coefficients[1:]:
            density *= share
            density += coefficient
        np.divide(1000.0 * total, density, out=litres)
    return out
