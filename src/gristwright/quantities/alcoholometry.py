"""Density, strength and volume of ethanol-water mixtures by OIML R 22 (1975). See docs/quantities.md.

p is the mass fraction of ethanol. Strength (%vol) is always at 20 degC, density in vacuum in kg/m3. Every function
takes floats or arrays of members; the main argument decides which comes back.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Generic

import numpy as np

from gristwright.basics import BoolArray, FloatArray, Outcome, Problem, Refused
from gristwright.quantities.bounds import N, as_given, outside, refuse_outside
from gristwright.reference.load import csv_rows

REFERENCE_degC = 20.0
LOWEST_degC, HIGHEST_degC = -20.0, 40.0
# Soda-lime glass, cubic expansion per kelvin; the value belongs to the instrument's glass.
GLASS_per_K = 25e-6
AIR_kg_m3, WEIGHTS_kg_m3 = 1.2, 8000.0
_STEPS = 60
_TOLERANCE = 1e-14


@cache
def coefficients() -> tuple[tuple[float, ...], ...]:
    """R 22 coefficients by power of (t - 20) and power of p, shape (7, 12) [kg/m3 K^-i]. OIML R 22 (1975)."""
    table = np.zeros((7, 12))
    for row in csv_rows("tables/oiml_r22.csv"):
        table[int(row["power_t"]), int(row["power_p"])] = float(row["value"])
    return tuple(tuple(float(x) for x in line) for line in table)


def _by_temperature(degC: float | FloatArray) -> list[float | FloatArray]:
    """The twelve coefficients of p at one temperature (Horner in t - 20)."""
    step = degC - REFERENCE_degC
    powers: list[float | FloatArray] = []
    for k in range(12):
        total: float | FloatArray = 0.0
        for line in reversed(coefficients()):
            total = total * step + line[k]
        powers.append(total)
    return powers


def _horner(powers: Sequence[float | FloatArray], p: float | FloatArray) -> float | FloatArray:
    total: float | FloatArray = 0.0
    for coefficient in reversed(powers):
        total = total * p + coefficient
    return total


def _slope(powers: Sequence[float | FloatArray]) -> list[float | FloatArray]:
    return [k * coefficient for k, coefficient in enumerate(powers)][1:]


def _root(powers: list[float | FloatArray], target: float | FloatArray) -> tuple[FloatArray, BoolArray]:
    """p in 0..1 where a monotone polynomial meets the target, and whether there is one.

    Newton's step is taken when it stays inside the bracket, half the bracket otherwise, so it cannot escape.
    """
    if np.ndim(target) == 0 and not any(map(np.ndim, powers)):
        return _root_of_one([float(power) for power in powers], float(target))
    goal = np.asarray(target, dtype=np.float64)
    at_0, at_1 = np.asarray(_horner(powers, 0.0)), np.asarray(_horner(powers, 1.0))
    goal, at_0, at_1 = np.broadcast_arrays(goal, at_0, at_1)
    rises = at_1 > at_0
    slack = 1e-9 * np.abs(at_1 - at_0)
    inside = (goal >= np.minimum(at_0, at_1) - slack) & (goal <= np.maximum(at_0, at_1) + slack)
    low, high = np.zeros(goal.shape), np.ones(goal.shape)
    p = np.clip((goal - at_0) / (at_1 - at_0), 0.0, 1.0)
    for _ in range(_STEPS):
        miss = np.asarray(_horner(powers, p)) - goal
        too_far = (miss > 0.0) == rises
        low, high = np.where(too_far, low, p), np.where(too_far, p, high)
        newton = p - miss / np.asarray(_horner(_slope(powers), p))
        step_to = np.where((newton >= low) & (newton <= high), newton, 0.5 * (low + high))
        if not np.any(np.abs(step_to - p)[inside] > _TOLERANCE):
            break
        p = step_to
    return np.where(inside, p, np.nan), inside


def _root_of_one(powers: list[float], goal: float) -> tuple[FloatArray, BoolArray]:
    """As `_root` for one number, step for step the same and twenty times as fast: a ledger has one for every line."""
    at_0, at_1 = float(_horner(powers, 0.0)), float(_horner(powers, 1.0))
    rises, slack, slope = at_1 > at_0, 1e-9 * abs(at_1 - at_0), _slope(powers)
    if not min(at_0, at_1) - slack <= goal <= max(at_0, at_1) + slack:
        return np.asarray(np.nan), np.asarray(False)
    low, high = 0.0, 1.0
    p = min(max((goal - at_0) / (at_1 - at_0), 0.0), 1.0)
    for _ in range(_STEPS):
        miss = float(_horner(powers, p)) - goal
        low, high = (low, p) if (miss > 0.0) == rises else (p, high)
        steep = float(_horner(slope, p))
        newton = p - miss / steep if steep else math.nan
        step_to = newton if low <= newton <= high else 0.5 * (low + high)
        if not abs(step_to - p) > _TOLERANCE:
            break
        p = step_to
    return np.asarray(p), np.asarray(True)


def temperature_problems(where: str, degC: float | FloatArray) -> list[Problem]:
    """A problem when a temperature lies outside the range of R 22, -20 to 40 degC."""
    way_out = "Measure between these; the formula was not made for others."
    return outside(where, degC, LOWEST_degC, HIGHEST_degC, "degC", way_out)


def strength_problems(where: str, abv_pct: float | FloatArray) -> list[Problem]:
    """A problem when a strength lies outside 0 to 100 %vol."""
    return outside(where, abv_pct, 0.0, 100.0, "%vol", "Give the strength in %vol at 20 degC.")


def _check(abv_pct: float | FloatArray = 0.0, degC: float | FloatArray = REFERENCE_degC) -> None:
    problems = strength_problems("strength", abv_pct) + temperature_problems("temperature", degC)
    if problems:
        raise Refused(problems)


def _density(p: float | FloatArray, degC: float | FloatArray) -> float | FloatArray:
    return _horner(_by_temperature(degC), p)


def _ethanol_per_volume(degC: float) -> list[float | FloatArray]:
    """Coefficients of p rho(p, t) / rho(1, t): the volume fraction of ethanol at one temperature."""
    pure = float(_density(1.0, degC))
    return [0.0, *(coefficient / pure for coefficient in _by_temperature(degC))]


def density_by_mass_kg_m3(mass_fraction: N, degC: float | N = REFERENCE_degC) -> N:
    """Density of a mixture of known mass fraction [0..1] at t [degC]; [kg/m3 in vacuum]. OIML R 22, general formula.

    Raises Refused outside 0..1 or -20..40 degC.
    """
    refuse_outside("mass fraction", mass_fraction, 0.0, 1.0, "", "Give kg ethanol per kg.")
    _check(degC=degC)
    return as_given(_density(mass_fraction, degC), mass_fraction)


def mass_fraction_from_abv(abv_pct: N) -> N:
    """Mass fraction of ethanol [0..1] of a strength [%vol at 20 degC]. OIML R 22, q = p rho(p) / rho(1), inverted.

    Raises Refused outside 0..100 %vol.
    """
    _check(abv_pct)
    p, _ = _root(_ethanol_per_volume(REFERENCE_degC), abv_pct / 100.0)
    return as_given(p, abv_pct)


def abv_pct_from_mass_fraction(mass_fraction: N, degC: float = REFERENCE_degC) -> N:
    """Strength [%vol, both volumes at `degC`] of a mass fraction [0..1]. OIML R 22, q = p rho(p) / rho(1).

    Raises Refused outside 0..1.
    """
    refuse_outside("mass fraction", mass_fraction, 0.0, 1.0, "", "Give kg ethanol per kg.")
    return as_given(100.0 * np.asarray(_horner(_ethanol_per_volume(degC), mass_fraction)), mass_fraction)


def mass_fraction_from_abv_at(abv_pct: N, degC: float) -> N:
    """Mass fraction [0..1] of a strength stated with both volumes at `degC` (60 degF for tables of the US and UK).

    Raises Refused outside 0..100 %vol.
    """
    _check(abv_pct, degC)
    p, _ = _root(_ethanol_per_volume(degC), abv_pct / 100.0)
    return as_given(p, abv_pct)


def density_kg_m3(abv_pct: N, degC: float | N = REFERENCE_degC) -> N:
    """Density at t [degC] of a spirit of known strength [%vol at 20 degC]; [kg/m3 in vacuum]. OIML R 22.

    Raises Refused outside 0..100 %vol or -20..40 degC.
    """
    _check(abv_pct, degC)
    return as_given(_density(mass_fraction_from_abv(abv_pct), degC), abv_pct)


def abv_pct_by_member(
    density_kg_m3: float | FloatArray, degC: float | FloatArray
) -> tuple[FloatArray, tuple[Outcome, ...]]:
    """Strength [%vol at 20 degC] from density [kg/m3] at t [degC], NaN and the reason where there is none.

    Shapes (members,) or scalar in; (members,) and a tuple of outcomes of the same length out.
    """
    density, t = np.broadcast_arrays(np.atleast_1d(density_kg_m3), np.atleast_1d(degC))
    in_range = (t >= LOWEST_degC) & (t <= HIGHEST_degC)
    safe_degC = np.where(in_range, t, REFERENCE_degC)
    p, inside = _root(_by_temperature(safe_degC), density)
    abv_pct = 100.0 * np.asarray(_horner(_ethanol_per_volume(REFERENCE_degC), p))
    outcomes = tuple(
        Outcome.OUTSIDE if not fits else Outcome.SOLVED if solved else Outcome.NO_ROOT
        for fits, solved in zip(in_range, inside, strict=True)
    )
    return np.where(in_range & inside, np.clip(abv_pct, 0.0, 100.0), np.nan), outcomes


def abv_pct_from_density(density_kg_m3: N, degC: float | N = REFERENCE_degC) -> N:
    """Strength [%vol at 20 degC] of a spirit of this density [kg/m3 in vacuum] at t [degC]. OIML R 22, inverted.

    Raises Refused outside -20..40 degC, and when the density is not between pure ethanol and water at that temperature.
    """
    _check(degC=degC)
    abv_pct, outcomes = abv_pct_by_member(density_kg_m3, degC)
    if Outcome.NO_ROOT in outcomes:
        raise Refused([_density_problem(density_kg_m3, degC, outcomes.index(Outcome.NO_ROOT))])
    whole = np.ndim(density_kg_m3) == 0 and np.ndim(degC) == 0
    return as_given(abv_pct[0] if whole else abv_pct, density_kg_m3)


def _density_problem(density_kg_m3: float | FloatArray, degC: float | FloatArray, member: int) -> Problem:
    density, t = np.broadcast_arrays(np.atleast_1d(density_kg_m3), np.atleast_1d(degC))
    value, at = float(density[member]), float(t[member])
    low, high = float(_density(1.0, at)), float(_density(0.0, at))
    what = f"{value:.8g} kg/m3 at {at:.4g} degC lies outside {low:.2f} (pure ethanol) to {high:.2f} (water)."
    way_out = "Check the unit (kg/m3, not SG) and the temperature; distil a liquor with sugar or extract first."
    return Problem("density", what, way_out)


def abv_pct_from_meter(reading_pct: N, degC: float | N, glass_per_K: float = GLASS_per_K) -> N:
    """Strength [%vol at 20 degC] from an alcohol meter's reading [%vol] at t [degC], the meter graduated at 20 degC.

    The glass swells by `glass_per_K` [1/K], so the liquor is lighter than its reading says. OIML R 22 with the
    buoyancy of the meter. Raises Refused outside the tables.
    """
    _check(reading_pct, degC)
    shown = np.asarray(density_kg_m3(reading_pct, REFERENCE_degC))
    true = shown / (1.0 + glass_per_K * (np.asarray(degC) - REFERENCE_degC))
    return as_given(abv_pct_from_density(true, np.asarray(degC)), reading_pct)


def volume_factor(abv_pct: N, degC: float | N) -> N:
    """What a volume at t [degC] is multiplied by to give the volume at 20 degC [-]; rho(t) / rho(20). OIML R 22.

    Raises Refused outside 0..100 %vol or -20..40 degC.
    """
    _check(abv_pct, degC)
    p = mass_fraction_from_abv(abv_pct)
    return as_given(np.asarray(_density(p, degC)) / np.asarray(_density(p, REFERENCE_degC)), abv_pct)


def lpa_from_litres(litres: N, abv_pct: float | N, degC: float | N = REFERENCE_degC) -> N:
    """Litres of pure alcohol at 20 degC in a volume [L] measured at t [degC] of a strength [%vol at 20 degC].

    Raises Refused for a negative volume or outside the tables.
    """
    refuse_outside("volume", litres, 0.0, np.inf, "L", "Give a volume of zero or more.")
    factor = np.asarray(volume_factor(np.asarray(abv_pct, dtype=np.float64), np.asarray(degC, dtype=np.float64)))
    return as_given(np.asarray(litres) * factor * np.asarray(abv_pct) / 100.0, litres)


def lpa_from_mass(kg: N, abv_pct: float | N) -> N:
    """Litres of pure alcohol at 20 degC in a true mass [kg] of a strength [%vol at 20 degC]; m p / rho(1, 20).

    Raises Refused for a negative mass or outside 0..100 %vol.
    """
    refuse_outside("mass", kg, 0.0, np.inf, "kg", "Give a mass of zero or more.")
    p = np.asarray(mass_fraction_from_abv(np.asarray(abv_pct, dtype=np.float64)))
    return as_given(1000.0 * np.asarray(kg) * p / float(_density(1.0, REFERENCE_degC)), kg)


def true_mass_kg(weighed_kg: N, density_kg_m3: float | N, air_kg_m3: float = AIR_kg_m3) -> N:
    """True mass [kg] of a liquid weighed in air on a scale set with 8000 kg/m3 weights; buoyancy of both removed.

    The definition of conventional mass, OIML D 28 (2004).
    """
    buoyed = 1.0 - air_kg_m3 / np.asarray(density_kg_m3)
    return as_given(np.asarray(weighed_kg) * (1.0 - air_kg_m3 / WEIGHTS_kg_m3) / buoyed, weighed_kg)


@dataclass(frozen=True)
class Reduction(Generic[N]):
    """Water added to a spirit and what comes of it, all volumes at 20 degC."""

    water_kg: N
    water_L: N
    final_L: N
    contraction_L: N


def reduction(litres: N, from_abv_pct: float | N, to_abv_pct: float | N) -> Reduction[N]:
    """Water [kg, L] that brings a volume [L at 20 degC] from one strength to another [%vol at 20 degC], by mass.

    Water has the mass m (p1 / p2 - 1), whatever the contraction. Raises Refused when the aim is stronger than the
    spirit, zero, or outside 0..100 %vol.
    """
    _refuse_reduction(litres, from_abv_pct, to_abv_pct)
    p_from = np.asarray(mass_fraction_from_abv(np.asarray(from_abv_pct, dtype=np.float64)))
    p_to = np.asarray(mass_fraction_from_abv(np.asarray(to_abv_pct, dtype=np.float64)))
    spirit_kg = np.asarray(litres) * np.asarray(_density(p_from, REFERENCE_degC)) / 1000.0
    water_kg = spirit_kg * (p_from / p_to - 1.0)
    water_L = 1000.0 * water_kg / float(_density(0.0, REFERENCE_degC))
    final_L = 1000.0 * (spirit_kg + water_kg) / np.asarray(_density(p_to, REFERENCE_degC))
    lost_L = np.asarray(litres) + water_L - final_L
    return Reduction(*(as_given(x, litres) for x in (water_kg, water_L, final_L, lost_L)))


def _refuse_reduction(litres: float | FloatArray, start: float | FloatArray, aim: float | FloatArray) -> None:
    problems = outside("volume", litres, 0.0, np.inf, "L", "Give a volume of zero or more.")
    problems += strength_problems("strength before", start) + strength_problems("strength after", aim)
    if np.any(np.asarray(aim) <= 0.0):
        problems.append(Problem("strength after", "no amount of water reaches 0 %vol.", "Aim above zero."))
    if np.any(np.asarray(aim) > np.asarray(start)):
        worst = float(np.max(np.asarray(aim) - np.asarray(start)))
        what = f"the aim is {worst:.4g} %vol stronger than the spirit, and water only weakens it."
        problems.append(Problem("strength after", what, "Aim lower, or blend with a stronger spirit."))
    if problems:
        raise Refused(problems)
