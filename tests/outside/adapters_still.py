"""Calls of the still room that give one number for one row of still.csv."""

from __future__ import annotations

import numpy as np

from gristwright.numerics.draws import middles
from gristwright.records.plant import PotStills
from gristwright.records.streams import NewSpirit, Wash
from gristwright.reference.load import priors
from gristwright.stages.still import mixture, model, rayleigh, vle


def mean_miss_of_vapour(x: list[float], y: list[float], pressure_kPa: float) -> float:
    return float(np.mean(np.abs(vle.vapour_mole_fraction(np.array(x), pressure_kPa) - np.array(y))))


def mean_miss_of_boiling_K(x: list[float], kelvin: list[float], pressure_kPa: float) -> float:
    return float(np.mean(np.abs(vle.bubble_point_degC(np.array(x), pressure_kPa) + 273.15 - np.array(kelvin))))


def azeotrope_x() -> float:
    x = np.linspace(0.80, 0.97, 1701)
    return float(np.interp(0.0, x - vle.vapour_mole_fraction(x), x))


def rayleigh_integral(x_end: float, x_start: float) -> float:
    return float(rayleigh.integral_between(rayleigh.pot_curve(), x_end, x_start))


def residue_mol(charge_mol: float, x_end: float, x_start: float) -> float:
    return charge_mol * float(np.exp(-rayleigh_integral(x_end, x_start)))


def distillate_x(x_end: float, x_start: float) -> float:
    left = residue_mol(1.0, x_end, x_start)
    return (x_start - left * x_end) / (1.0 - left)


def constant_alpha_residue_x(alpha: float, x_start: float, share_left: float) -> float:
    x = np.exp(np.linspace(np.log(1e-3), np.log(0.95), 4000))
    curve = rayleigh.curve_of(x, alpha * x / (1.0 + (alpha - 1.0) * x))
    left = np.exp(-rayleigh.integral_between(curve, x, np.full_like(x, x_start)))
    return float(np.interp(share_left, left, x))


def constant_alpha_distillate_x(alpha: float, x_start: float, share_left: float) -> float:
    x_end = constant_alpha_residue_x(alpha, x_start, share_left)
    return (x_start - share_left * x_end) / (1.0 - share_left)


def pot_run_value(field: str, charge_abv_pct: float, reflux: float) -> float:
    return float(getattr(rayleigh.pot_run(charge_abv_pct, reflux=reflux), field))


def bottoms_share_of_ethanol_pct(bottoms_mass_pct: float, feed_abv_pct: float) -> float:
    return bottoms_mass_pct / float(mixture.mass_fraction(feed_abv_pct))


def _middle_run(wash_abv_pct: float) -> tuple[NewSpirit, float]:
    one, lpa = np.ones(1), 400.0
    wash = Wash(100.0 * lpa / wash_abv_pct * one, wash_abv_pct * one, lpa * one, 0.0 * one, one, one)
    return model.distil(wash, PotStills(12_000.0, 8_000.0), middles(priors("still"))), lpa


def recovery_pct(wash_abv_pct: float) -> float:
    spirit, lpa = _middle_run(wash_abv_pct)
    return float(100.0 * spirit.lpa_per_t[0] / lpa)


def pot_ale_L_per_lpa(wash_abv_pct: float) -> float:
    spirit, _ = _middle_run(wash_abv_pct)
    return float(spirit.pot_ale_L_per_t[0] / spirit.lpa_per_t[0])


def spent_lees_L_per_lpa(wash_abv_pct: float) -> float:
    spirit, _ = _middle_run(wash_abv_pct)
    strength = middles(priors("still"))["still.spent_lees_abv_pct"][0]
    return float(100.0 * spirit.spent_lees_lpa_per_t[0] / strength / spirit.lpa_per_t[0])
