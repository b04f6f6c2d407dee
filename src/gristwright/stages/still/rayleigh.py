"""Simple batch distillation, with or without condensation in the head. See docs/still.md."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import FloatArray
from gristwright.stages.still import mixture, vle

STOP_ABV_PCT = 1.0
# The grid is even in ln x: x/(y - x) is nearly level there down to the weakest pot ale.
LOWEST_X, HIGHEST_X, POINTS = 1e-6, 0.85, 6000
TABLE_ABV_PCT = np.arange(2.0, 18.01, 0.5)
TABLE_REFLUX = np.linspace(0.0, 0.5, 11)


@dataclass(frozen=True)
class Curve:
    """What leaves the head over a pot of mole fraction x, and the Rayleigh integral up to x; arrays (points,)."""

    x: FloatArray
    y_out: FloatArray
    integral: FloatArray


@dataclass(frozen=True)
class PotRun:
    """One run to its end; strengths [%vol] and volumes at 20 degC, each shaped as the charge."""

    first_abv_pct: FloatArray
    distillate_abv_pct: FloatArray
    distillate_pct_of_charge: FloatArray
    residue_abv_pct: FloatArray
    residue_pct_of_charge: FloatArray
    ethanol_left_pct: FloatArray


def curve_of(x: FloatArray, y_out: FloatArray) -> Curve:
    """The curve of any equilibrium given as points, x rising from above zero; the integral is a trapezoid in ln x."""
    slope = x / (y_out - x)
    steps = 0.5 * (slope[1:] + slope[:-1]) * np.diff(np.log(x))
    return Curve(x, y_out, np.concatenate([[0.0], np.cumsum(steps)]))


@cache
def pot_curve(reflux: float = 0.0) -> Curve:
    """The curve of a pot whose head returns the share `reflux` [0..1) of the vapour, condensed in equilibrium."""
    x = np.exp(np.linspace(np.log(LOWEST_X), np.log(HIGHEST_X), POINTS))
    y_pot = vle.vapour_mole_fraction(x)
    # x_L y_out are liquid and vapour in equilibrium in the head: y_pot = R x_L + (1 - R) y_out. With x as x_L the
    # same grid gives the pot vapour each head needs; reading it backwards gives the head over each pot.
    feeding = reflux * x + (1.0 - reflux) * y_pot
    y_out = np.exp(np.interp(np.log(y_pot), np.log(feeding), np.log(y_pot)))
    within = y_pot <= feeding[-1]
    return curve_of(x[within], y_out[within])


def integral_between(curve: Curve, x_end: FloatArray | float, x_start: FloatArray | float) -> FloatArray:
    """ln(W0/W), the integral of dx/(y - x) from x_end to x_start; shapes broadcast. Rayleigh 1902."""
    upto = np.interp(np.log(np.asarray([x_end, x_start], dtype=np.float64)), np.log(curve.x), curve.integral)
    return np.asarray(upto[1] - upto[0])


def x_when_distillate_reads(curve: Curve, abv_pct: FloatArray | float) -> FloatArray:
    """Mole fraction in the pot when the running distillate has this strength [%vol at 20 degC]; shape kept."""
    return np.asarray(np.interp(mixture.mole_fraction(abv_pct), curve.y_out, curve.x))


def pot_run(charge_abv_pct: FloatArray | float, stop_abv_pct: float = STOP_ABV_PCT, reflux: float = 0.0) -> PotRun:
    """A run stopped when the distillate reads `stop_abv_pct` [%vol]; arrays shaped as the charge [%vol at 20 degC]."""
    curve = pot_curve(reflux)
    x_start = mixture.mole_fraction(charge_abv_pct)
    return _run_to(curve, x_start, np.full_like(x_start, x_when_distillate_reads(curve, stop_abv_pct)))


def abv_of_first_part(charge_abv_pct: float, part_of_volume: float, reflux: float = 0.0) -> float:
    """Strength [%vol] of the first part of a run, the part as a share of the charge's volume at 20 degC."""
    curve = pot_curve(reflux)
    start = mixture.mole_fraction(charge_abv_pct)
    x_end = curve.x[curve.x < start]
    run = _run_to(curve, np.full_like(x_end, start), x_end)
    # Falling x is a growing part; np.interp wants it rising.
    return float(np.interp(100.0 * part_of_volume, run.distillate_pct_of_charge[::-1], run.distillate_abv_pct[::-1]))


def _run_to(curve: Curve, x_start: FloatArray, x_end: FloatArray) -> PotRun:
    left = np.exp(-integral_between(curve, x_end, x_start))
    over = 1.0 - left
    x_over = (x_start - left * x_end) / over
    litres = mixture.litres_per_kmol(x_start)
    first = np.interp(np.log(x_start), np.log(curve.x), curve.y_out)
    return PotRun(
        first_abv_pct=mixture.abv_pct(first),
        distillate_abv_pct=mixture.abv_pct(x_over),
        distillate_pct_of_charge=100.0 * over * mixture.litres_per_kmol(x_over) / litres,
        residue_abv_pct=mixture.abv_pct(x_end),
        residue_pct_of_charge=100.0 * left * mixture.litres_per_kmol(x_end) / litres,
        ethanol_left_pct=100.0 * left * x_end / x_start,
    )


@cache
def _low_wines_table() -> FloatArray:
    """Low wines [%vol], shape (reflux, wash strength)."""
    return np.stack([pot_run(TABLE_ABV_PCT, reflux=float(r)).distillate_abv_pct for r in TABLE_REFLUX])


def low_wines_abv_pct(wash_abv_pct: FloatArray, reflux: FloatArray) -> FloatArray:
    """Strength [%vol] of low wines run to 1 %vol from a wash [%vol]; shape (members,), linear in a table of runs."""
    place = np.clip(reflux, TABLE_REFLUX[0], TABLE_REFLUX[-1]) / (TABLE_REFLUX[1] - TABLE_REFLUX[0])
    lower = np.minimum(place.astype(np.int64), len(TABLE_REFLUX) - 2)
    rows = np.stack([np.interp(wash_abv_pct, TABLE_ABV_PCT, row) for row in _low_wines_table()])
    member = np.arange(len(wash_abv_pct))
    return np.asarray(rows[lower, member] + (place - lower) * (rows[lower + 1, member] - rows[lower, member]))
