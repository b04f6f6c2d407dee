"""Strength by volume at 20 degC, by mass and by moles of an ethanol-water liquid. See docs/still.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray
from gristwright.quantities import alcoholometry

ETHANOL_G_PER_MOL = 46.06844
WATER_G_PER_MOL = 18.01528


def mass_fraction(abv_pct: FloatArray | float) -> FloatArray:
    """Mass fraction of ethanol [0..1] from strength at 20 degC [%vol]; shape kept."""
    return np.asarray(alcoholometry.mass_fraction_from_abv(np.asarray(abv_pct, dtype=np.float64)))


def density_20C_kg_m3(mass_share: FloatArray) -> FloatArray:
    """Density at 20 degC [kg/m3] from the mass fraction of ethanol; shape kept."""
    return np.asarray(alcoholometry.density_by_mass_kg_m3(mass_share))


def ethanol_20C_kg_m3() -> float:
    """Density of pure ethanol at 20 degC [kg/m3]: turns kilograms of ethanol into litres of pure alcohol."""
    return float(density_20C_kg_m3(np.asarray(1.0)))


def mole_fraction(abv_pct: FloatArray | float) -> FloatArray:
    """Mole fraction of ethanol [0..1] from strength at 20 degC [%vol]; shape kept."""
    share = mass_fraction(abv_pct)
    ethanol = share / ETHANOL_G_PER_MOL
    # Rounding may leave 100 %vol a last digit above one.
    return np.asarray(np.clip(ethanol / (ethanol + (1.0 - share) / WATER_G_PER_MOL), 0.0, 1.0))


def mass_fraction_of_moles(mole_share: FloatArray | float) -> FloatArray:
    """Mass fraction of ethanol [0..1] from its mole fraction; shape kept."""
    ethanol = np.asarray(mole_share, dtype=np.float64) * ETHANOL_G_PER_MOL
    return np.asarray(ethanol / (ethanol + (1.0 - np.asarray(mole_share)) * WATER_G_PER_MOL))


def abv_pct(mole_share: FloatArray | float) -> FloatArray:
    """Strength at 20 degC [%vol] of a liquid, or of a vapour once condensed, from its mole fraction; shape kept."""
    return np.asarray(alcoholometry.abv_pct_from_mass_fraction(mass_fraction_of_moles(mole_share)))


def litres_per_kmol(mole_share: FloatArray) -> FloatArray:
    """Volume at 20 degC [L/kmol] of a liquid from its mole fraction of ethanol; shape kept."""
    molar_kg = mole_share * ETHANOL_G_PER_MOL + (1.0 - mole_share) * WATER_G_PER_MOL
    return np.asarray(1000.0 * molar_kg / density_20C_kg_m3(mass_fraction_of_moles(mole_share)))
