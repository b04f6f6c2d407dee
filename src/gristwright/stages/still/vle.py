"""Boiling point and vapour of ethanol-water by the NRTL equation with an ideal vapour. See docs/still.md."""

from __future__ import annotations

from functools import cache

import numpy as np

from gristwright.basics import FloatArray
from gristwright.quantities.bounds import refuse_outside
from gristwright.reference.load import csv_rows
from gristwright.stages.still import mixture

ATMOSPHERE_KPA = 101.325
ZERO_DEGC_K = 273.15
# ln p of either liquid rises by 0.036 to 0.040 a kelvin around here, so a step with one slope for all shrinks the
# error about twentyfold each time.
SLOPE_PER_K = 0.0375
STEPS = 14
LEAST_KPA, MOST_KPA = 60.0, 110.0


@cache
def _coefficients(substance: str) -> dict[str, float]:
    row = next(row for row in csv_rows("tables/vle_vapour_pressure.csv") if row["substance"] == substance)
    return {name: float(text) for name, text in row.items() if text and name not in ("substance", "form", "standing")}


@cache
def _nrtl() -> tuple[float, float, float]:
    """tau12 T [K], tau21 T [K] and alpha."""
    row = csv_rows("tables/vle_nrtl.csv")[0]
    gas = float(row["gas_constant_cal_per_mol_K"])
    return float(row["b12_cal_per_mol"]) / gas, float(row["b21_cal_per_mol"]) / gas, float(row["alpha"])


def ethanol_vapour_pressure_kPa(degC: FloatArray | float) -> FloatArray:
    """Vapour pressure of ethanol [kPa]; shape as given. Perry's Handbook 8th ed., Table 2-8."""
    c = _coefficients("ethanol")
    kelvin = np.asarray(degC, dtype=np.float64) + ZERO_DEGC_K
    log_Pa = c["c1"] + c["c2"] / kelvin + c["c3"] * np.log(kelvin) + c["c4"] * kelvin ** c["c5"]
    return np.asarray(np.exp(log_Pa) / 1000.0)


def water_vapour_pressure_kPa(degC: FloatArray | float) -> FloatArray:
    """Vapour pressure of water [kPa]; shape as given. IAPWS SR1-86(1992), eq. 1."""
    c = _coefficients("water")
    kelvin = np.asarray(degC, dtype=np.float64) + ZERO_DEGC_K
    v = 1.0 - kelvin / c["critical_K"]
    powers = {"c1": 1.0, "c2": 1.5, "c3": 3.0, "c4": 3.5, "c5": 4.0, "c6": 7.5}
    total = sum((c[name] * v**power for name, power in powers.items()), np.zeros_like(v))
    return np.asarray(c["critical_Pa"] * np.exp(c["critical_K"] / kelvin * total) / 1000.0)


def activity_coefficients(x: FloatArray | float, degC: FloatArray | float) -> tuple[FloatArray, FloatArray]:
    """Activity coefficients of ethanol and water; shapes broadcast. NRTL, Renon and Prausnitz 1968."""
    b12, b21, alpha = _nrtl()
    x1 = np.asarray(x, dtype=np.float64)
    x2 = 1.0 - x1
    kelvin = np.asarray(degC, dtype=np.float64) + ZERO_DEGC_K
    tau12, tau21 = b12 / kelvin, b21 / kelvin
    G12, G21 = np.exp(-alpha * tau12), np.exp(-alpha * tau21)
    near1, near2 = x1 + x2 * G21, x2 + x1 * G12
    log1 = x2**2 * (tau21 * (G21 / near1) ** 2 + tau12 * G12 / near2**2)
    log2 = x1**2 * (tau12 * (G12 / near2) ** 2 + tau21 * G21 / near1**2)
    return np.asarray(np.exp(log1)), np.asarray(np.exp(log2))


def _partial_pressures_kPa(x: FloatArray, degC: FloatArray) -> tuple[FloatArray, FloatArray]:
    gamma1, gamma2 = activity_coefficients(x, degC)
    ethanol = x * gamma1 * ethanol_vapour_pressure_kPa(degC)
    return ethanol, (1.0 - x) * gamma2 * water_vapour_pressure_kPa(degC)


def bubble_point_degC(x: FloatArray | float, pressure_kPa: float = ATMOSPHERE_KPA) -> FloatArray:
    """Boiling point [degC] of a liquid of mole fraction x; shape kept. Raises Refused outside 0..1 or 60-110 kPa."""
    refuse_outside("mole fraction of ethanol", x, 0.0, 1.0, "", "Give moles of ethanol per mole.")
    refuse_outside("pressure over the still", pressure_kPa, LEAST_KPA, MOST_KPA, "kPa", "Check the unit.")
    liquid = np.asarray(x, dtype=np.float64)
    degC = np.full_like(liquid, 85.0)
    for _ in range(STEPS):
        ethanol, water = _partial_pressures_kPa(liquid, degC)
        degC = degC - np.log((ethanol + water) / pressure_kPa) / SLOPE_PER_K
    return np.asarray(degC)


def vapour_mole_fraction(x: FloatArray | float, pressure_kPa: float = ATMOSPHERE_KPA) -> FloatArray:
    """Mole fraction of ethanol in the vapour over a boiling liquid; shape kept. Raises Refused as the boiling point."""
    liquid = np.asarray(x, dtype=np.float64)
    ethanol, water = _partial_pressures_kPa(liquid, bubble_point_degC(liquid, pressure_kPa))
    return np.asarray(ethanol / (ethanol + water))


def boils_degC(abv_pct: FloatArray | float, pressure_kPa: float = ATMOSPHERE_KPA) -> FloatArray:
    """Boiling point [degC] of a liquid of this strength at 20 degC [%vol]; shape kept. Raises Refused outside 0..100.

    Dissolved solids are left out; in a wash they raise it by some 0.1 to 0.3 K (from memory).
    """
    return bubble_point_degC(mixture.mole_fraction(abv_pct), pressure_kPa)


def first_vapour_abv_pct(abv_pct: FloatArray | float, pressure_kPa: float = ATMOSPHERE_KPA) -> FloatArray:
    """Strength [%vol at 20 degC] of the first vapour, condensed; shape kept. Raises Refused outside 0..100 %vol."""
    return mixture.abv_pct(vapour_mole_fraction(mixture.mole_fraction(abv_pct), pressure_kPa))


def total_reflux_abv_pct(abv_pct: FloatArray | float, stages: int) -> FloatArray:
    """Strength [%vol at 20 degC] after so many equilibrium stages at total reflux, the pot being one; shape kept."""
    strength = np.asarray(abv_pct, dtype=np.float64)
    for _ in range(stages):
        strength = first_vapour_abv_pct(strength)
    return strength
