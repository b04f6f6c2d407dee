"""Calls of the quantities that give one number for one row of gauging.csv and units_and_gravity.csv."""

from __future__ import annotations

import numpy as np

from gristwright.quantities import alcoholometry, conversion, diastatic, gravity, proof

AIR_kg_m3 = 1.2


def mass_pct_of_abv_60F(abv_60F_pct: float) -> float:
    return 100.0 * alcoholometry.mass_fraction_from_abv_at(abv_60F_pct, proof.F60_degC)


def sg_in_air(abv_60F_pct: float, degC: float) -> float:
    """Specific gravity t/t, liquid and water weighed in air."""
    p = alcoholometry.mass_fraction_from_abv_at(abv_60F_pct, proof.F60_degC)
    liquid, water = (alcoholometry.density_by_mass_kg_m3(x, degC) - AIR_kg_m3 for x in (p, 0.0))
    return liquid / water


def water_per_100_volumes_60F(from_abv_60F_pct: float, to_abv_60F_pct: float) -> float:
    """Volumes of water that reduce 100 volumes, all at 60 degF."""
    start, aim = (
        alcoholometry.mass_fraction_from_abv_at(x, proof.F60_degC) for x in (from_abv_60F_pct, to_abv_60F_pct)
    )
    spirit, water = (alcoholometry.density_by_mass_kg_m3(x, proof.F60_degC) for x in (start, 0.0))
    return 100.0 * spirit * (start / aim - 1.0) / water


def uk_proof_spirit_sg() -> float:
    p = proof.uk_proof_spirit()[0]
    spirit, water = (alcoholometry.density_by_mass_kg_m3(x, proof.F60_degC) for x in (p, 0.0))
    return spirit / water


def uk_proof_spirit_abv_60F_pct() -> float:
    return proof.uk_proof_spirit()[1]


def uk_proof_spirit_mass_pct() -> float:
    return 100.0 * proof.uk_proof_spirit()[0]


def proof_gallons_per_pound(us_proof: float) -> float:
    return proof.proof_gallons_from_pounds(1.0, us_proof)


def pounds_per_proof_gallon(us_proof: float) -> float:
    return 1.0 / proof.proof_gallons_from_pounds(1.0, us_proof)


def pounds_of_gallons(gallons: float, us_proof: float) -> float:
    return gallons * proof.pounds_per_wine_gallon(us_proof)


def water_lb_to_reduce(pounds: float, from_proof: float, to_proof: float) -> float:
    """Water that brings a weight of spirit in air to a lower proof, reckoned by proof gallons per pound."""
    return pounds * (proof_gallons_per_pound(from_proof) / proof_gallons_per_pound(to_proof) - 1.0)


def volume_factor_to_60F(us_proof: float, degF: float) -> float:
    p = alcoholometry.mass_fraction_from_abv_at(us_proof / 2.0, proof.F60_degC)
    warm = alcoholometry.density_by_mass_kg_m3(p, (degF - 32.0) / 1.8)
    return warm / alcoholometry.density_by_mass_kg_m3(p, proof.F60_degC)


def converted(value: float, unit: str, to: str) -> float:
    return conversion.convert(value, unit, to).value


def lintner_by_line(degWK: float, line: str) -> float:
    return diastatic.lintner_from_wk(degWK, diastatic.DegreeLine[line])


def blend_with_raw_degLintner(share: float, degWK: float) -> float:
    power = diastatic.lintner_from_wk(degWK)
    return float(diastatic.blend_degLintner(np.array([share, 1.0 - share]), np.array([power, 0.0])))


def sucrose_relative_density_1000(mass_pct: float) -> float:
    return 1000.0 * gravity.sucrose_density_kg_m3(mass_pct) / gravity.WATER_20C_kg_m3


def sucrose_apparent_sg(mass_pct: float) -> float:
    return gravity.apparent_sg(gravity.sucrose_density_kg_m3(mass_pct))


def duty(rate_per_lpa: float, litres: float, abv_pct: float) -> float:
    return rate_per_lpa * alcoholometry.lpa_from_litres(litres, abv_pct)
