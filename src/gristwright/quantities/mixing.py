"""Spirits put together by mass: ethanol and water add up, litres and strength follow. See docs/quantities.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import FloatArray, Problem, refuse_if_any
from gristwright.quantities import alcoholometry

TINY_KG = 1e-12


@dataclass(frozen=True)
class Mixture:
    """Parcels in one vat; all litres at 20 degC, shape as a parcel's. Contraction: their sum less what they fill."""

    ethanol_kg: FloatArray
    water_kg: FloatArray
    litres: FloatArray
    abv_pct: FloatArray
    lpa_L: FloatArray
    contraction_L: FloatArray


def masses_kg(
    litres: float | FloatArray, abv_pct: float | FloatArray, degC: float | FloatArray = alcoholometry.REFERENCE_degC
) -> tuple[FloatArray, FloatArray]:
    """Ethanol and water [kg] in litres measured at t [degC] of a strength [%vol at 20 degC]; any shape. OIML R 22."""
    share = np.asarray(alcoholometry.mass_fraction_from_abv(np.asarray(abv_pct, dtype=np.float64)))
    kg = np.asarray(litres) * np.asarray(alcoholometry.density_by_mass_kg_m3(share, degC)) / 1000.0
    return kg * share, kg * (1.0 - share)


def lpa_from_kg(ethanol_kg: FloatArray) -> FloatArray:
    """Litres of pure alcohol at 20 degC in a mass of ethanol [kg]; any shape. OIML R 22."""
    return 1000.0 * ethanol_kg / alcoholometry.density_by_mass_kg_m3(1.0)


def volume_and_strength(ethanol_kg: FloatArray, water_kg: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Litres and %vol at 20 degC of these masses [kg]; any shape. OIML R 22."""
    total = np.maximum(ethanol_kg + water_kg, TINY_KG)
    share = np.clip(ethanol_kg / total, 0.0, 1.0)
    litres = 1000.0 * total / alcoholometry.density_by_mass_kg_m3(share)
    return litres, alcoholometry.abv_pct_from_mass_fraction(share)


def together(ethanol_kg: FloatArray, water_kg: FloatArray) -> Mixture:
    """Parcels along the first axis put together [kg]; alcohol and water are kept to the last bit, litres are not."""
    ethanol, water = ethanol_kg.sum(axis=0), water_kg.sum(axis=0)
    apart, _ = volume_and_strength(ethanol_kg, water_kg)
    litres, abv_pct = volume_and_strength(ethanol, water)
    return Mixture(ethanol, water, litres, abv_pct, lpa_from_kg(ethanol), apart.sum(axis=0) - litres)


def mixed(litres: FloatArray, abv_pct: FloatArray, degC: FloatArray) -> Mixture:
    """Parcels [L at their degC, %vol at 20 degC] put together; each array (parcels,). Water is a parcel of 0 %vol.

    Raises Refused with every parcel that cannot be.
    """
    refuse_if_any(parcel_problems(litres, abv_pct, degC))
    return together(*masses_kg(litres, abv_pct, degC))


def parcel_problems(litres: FloatArray, abv_pct: FloatArray, degC: FloatArray) -> list[Problem]:
    """Every parcel whose volume, strength or temperature cannot be, by its number."""
    problems = []
    for number, (volume, strength, t) in enumerate(zip(litres, abv_pct, degC, strict=True), start=1):
        where = f"parcel {number}"
        if not 0.0 < volume < np.inf:
            problems.append(Problem(where, f"{volume:g} L is no volume of a parcel.", "Give more than 0 L."))
        problems += alcoholometry.strength_problems(where, float(strength))
        problems += alcoholometry.temperature_problems(where, float(t))
    if not len(litres):
        problems.append(Problem("vat", "no parcel is given.", "Give litres and strength of each, such as 100@63.5."))
    return problems
