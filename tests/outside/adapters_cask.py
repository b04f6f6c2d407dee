"""The cask model set to the conditions of a published figure, one scalar out. Climates are ours where none is given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
from scipy.optimize import least_squares

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.draws import middles
from gristwright.records.cask import CaskFill, CaskKind, Climate, MaturedCask
from gristwright.reference.load import priors
from gristwright.stages.cask import content, course, ledger, model
from gristwright.stages.cask.model import mature_unchecked

# Schoeneman, Dyer & Earl 1971, J. AOAC 54, 1247-1261: months in new charred oak and US proof.
PROOFS = {0: 104.6, 6: 104.1, 12: 104.4, 24: 105.0, 36: 106.0, 48: 106.8, 60: 107.7, 72: 108.7, 84: 110.6, 96: 112.1}
# Baldwin & Andreasen 1974, J. AOAC 57, 940-950: share of the alcohol lost in 12 years.
LOST_IN_12_YEARS = 0.36
FITTED = ("cask.ethanol_permeance", "cask.water_permeance", "cask.wood_water_kg_per_m2")
LB_PER_KG = 1.0 / 0.45359237
ETHANOL_KG_PER_L = 0.78924  # at 20 degC, OIML R 22


def _without_wood() -> Draws:
    nothing = np.zeros(1)
    dry = {"cask.wood_uptake_L_per_m2": nothing, "cask.wood_water_kg_per_m2": nothing}
    return {**middles(priors("cask")), **dry}


def _aged(
    capacity_L: float,
    entry_abv_pct: float,
    degC: float,
    humidity: float,
    months: int,
    fill_number: int = 1,
    draws: Draws | None = None,
) -> MaturedCask:
    kind = CaskKind("outside", capacity_L, fill_number=fill_number)
    store = Climate("outside", (degC,) * 12, (humidity,) * 12)
    return mature_unchecked(CaskFill(kind, entry_abv_pct, capacity_L, months), store, draws or middles(priors("cask")))


def proof(months: int, degC: float, humidity: float) -> float:
    """US proof of a 200 L barrel of new wood filled at 104.6 proof."""
    return 2.0 * float(_aged(200.0, 52.3, degC, humidity, months).abv_pct[0])


def alcohol_lost_pct(entry_abv_pct: float, months: int, degC: float, humidity: float) -> float:
    """Alcohol lost from a 200 L barrel of new wood [% of the original], the wood's share included."""
    matured = _aged(200.0, entry_abv_pct, degC, humidity, months)
    return 100.0 * float(1.0 - matured.lpa_L[0] / matured.filled_lpa_L)


def alcohol_lost_between_pct(
    low_abv_pct: float, high_abv_pct: float, months: int, degC: float, humidity: float
) -> float:
    """Alcohol lost at the low entry strength less that at the high one [% of the original]."""
    return alcohol_lost_pct(low_abv_pct, months, degC, humidity) - alcohol_lost_pct(
        high_abv_pct, months, degC, humidity
    )


def refill_bulk_pct_per_year(
    capacity_L: float, entry_abv_pct: float, months: int, degC: float, humidity: float
) -> float:
    """Bulk lost from a refilled cask [% of the original per year]."""
    matured = _aged(capacity_L, entry_abv_pct, degC, humidity, months, fill_number=2)
    return float(ledger.yearly_loss(matured).bulk_of_original_pct[0])


def refill_alcohol_pct_per_year(
    capacity_L: float, entry_abv_pct: float, months: int, degC: float, humidity: float
) -> float:
    """Alcohol lost from a refilled cask [% of the original per year]."""
    matured = _aged(capacity_L, entry_abv_pct, degC, humidity, months, fill_number=2)
    return float(ledger.yearly_loss(matured).alcohol_of_original_pct[0])


def refill_strength_fall_pct_per_year(
    capacity_L: float, entry_abv_pct: float, months: int, degC: float, humidity: float
) -> float:
    """Strength lost by a refilled cask [%vol per year]."""
    matured = _aged(capacity_L, entry_abv_pct, degC, humidity, months, fill_number=2)
    return (entry_abv_pct - float(matured.abv_pct[0])) * 12.0 / months


def wine_mL_per_day(degC: float, humidity: float) -> float:
    """Wine of 12.5 %vol lost from a 225 L barrel over a year [mL/day], once the wood is wet."""
    matured = _aged(225.0, 12.5, degC, humidity, 12, draws=_without_wood())
    return 1000.0 * float(225.0 - matured.volume_L[0]) / 365.25


def wine_inside(value_mL_per_day: float, degC: float, dry: float, humid: float) -> float:
    """One when the value lies between the forecasts for a humid and a dry cellar, else zero."""
    return float(wine_mL_per_day(degC, humid) <= value_mL_per_day <= wine_mL_per_day(degC, dry))


def neutral_humidity(abv_pct: float, degC: float) -> float:
    """Strength-neutral relative humidity with the middle permeances."""
    draws = middles(priors("cask"))
    ratio = draws["cask.water_permeance"] / draws["cask.ethanol_permeance"]
    return float(ledger.strength_neutral_humidity(np.array([abv_pct]), degC, ratio)[0])


def emission_lb_per_year(fill_L: float, abv_pct: float, lost_pct: float) -> float:
    """Ethanol lost from one barrel [lb/year] at a given yearly loss of alcohol."""
    return fill_L * abv_pct / 100.0 * ETHANOL_KG_PER_L * lost_pct / 100.0 * LB_PER_KG


def of_original(left_share: float, years: float) -> float:
    """Straight-line loss [% of original per year]."""
    return float(ledger.of_original_pct(np.array([left_share]), years)[0])


def of_remaining(left_share: float, years: float) -> float:
    """Compound loss [% of remaining per year]."""
    return float(ledger.of_remaining_pct(np.array([left_share]), years)[0])


def _lagged(logs: FloatArray) -> tuple[FloatArray, float]:
    """Proof at the end of every month of 12 years and the share of alcohol lost, four parameters given by their logs.

    The equations of the model without soaking, both permeances reached from zero with a lag: ethanol and water
    permeance, water of new wood, lag in years; 15 degC and 60 % humidity.
    """
    *values, lag_years = np.exp(logs)
    given = {name: np.array([value]) for name, value in zip(FITTED, values, strict=True)}
    draws = {**middles(priors("cask")), **given, "cask.wood_uptake_L_per_m2": np.zeros(1)}
    shell = model.shell_of(CaskKind("outside", 200.0), 200.0, 52.3)
    wall, state = model.walls_of(shell, np.ones(1), np.ones(1), draws), np.zeros((6, 1))
    state[0], state[1] = content.masses_kg(200.0, 52.3)
    air, month = course.air_of([Climate("outside", (15.0,) * 12, (0.6,) * 12)]), np.full(1, 1.0 / 12.0)
    water = air.water_kPa[:, 0] * month
    kg, liquid = [state[:2].copy()], course.liquid_of(state[0], state[1], wall)
    for k in range(144):
        reached = 1.0 - np.exp(-(k + 0.5) / 12.0 / lag_years)
        slowed = replace(wall, ethanol_pass=wall.ethanol_pass * reached, water_pass=wall.water_pass * reached)
        spell = course.Spell(air.ethanol_kPa[:, 0] * month, water, 0.6 * water, month, np.full(1, k / 12.0))
        liquid = course.step(state, slowed, spell, spell.wood_years, liquid)
        kg.append(state[:2].copy())
    ethanol, water_kg = np.stack(kg)[:, :, 0].T
    _, abv = content.volume_and_strength(ethanol, water_kg)
    return 2.0 * abv, float(1.0 - ethanol[-1] / ethanol[0])


@cache
def _fitted_to(last_month: int) -> tuple[float, ...]:
    """Proofs of the four-parameter form, fitted to the published ones up to a month and to the loss of 12 years."""
    used = [month for month in PROOFS if month <= last_month]

    def misses(logs: FloatArray) -> FloatArray:
        proofs, lost = _lagged(logs)
        return np.array([*(proofs[month] - PROOFS[month] for month in used), (lost - LOST_IN_12_YEARS) / 0.01])

    bounds = np.log([0.2, 1.0, 0.01, 0.02]), np.log([2.0, 20.0, 3.0, 6.0])
    fit: Callable[..., object] = least_squares
    found = fit(misses, np.log([0.65, 5.5, 0.43, 1.0]), bounds=bounds)
    return tuple(float(x) for x in _lagged(found.x)[0])  # type: ignore[attr-defined]


def four_parameter_rms_proof() -> float:
    """Root mean square miss of the four-parameter form fitted to all ten proofs."""
    proofs = _fitted_to(96)
    return float(np.sqrt(np.mean([(proofs[month] - proof) ** 2 for month, proof in PROOFS.items()])))


def split_proof(months: int) -> float:
    """Proof predicted by the four-parameter form fitted to the first four years."""
    return _fitted_to(48)[months]


def sound_wall_bulk_pct_per_year(joint_share: float) -> float:
    """Bulk lost by a barrel of 62.5 %vol through sound staves alone [% of original a year], 15 degC and 60 %."""
    slow = {"cask.joint_share": np.array([joint_share]), "cask.leak_factor": np.zeros(1)}
    matured = _aged(200.0, 62.5, 15.0, 0.6, 12, draws={**_without_wood(), **slow})
    return 100.0 * float(1.0 - matured.volume_L[0] / 200.0)


def joint_share() -> float:
    """Middle of the share of a cask's loss that goes through its joints."""
    return float(middles(priors("cask"))["cask.joint_share"][0])


def seasonal_over_mean(entry_abv_pct: float) -> float:
    """Alcohol lost in a store between 2 and 24 degC over that in one at their mean."""
    seasons = (2.0, 3.0, 7.0, 12.0, 17.0, 21.0, 24.0, 23.0, 19.0, 13.0, 7.0, 3.0)
    fill = CaskFill(CaskKind("outside", 200.0, fill_number=2), entry_abv_pct, 200.0, 96)
    stores = [Climate("outside", degC, (0.7,) * 12) for degC in (seasons, (float(np.mean(seasons)),) * 12)]
    lost = [mature_unchecked(fill, store, middles(priors("cask"))).evaporated_lpa_L[0] for store in stores]
    return float(lost[0] / lost[1])


def filled_rla(fill_L: float, abv_pct: float) -> float:
    """Litres of pure alcohol filled."""
    return float(content.lpa_from_kg(content.masses_kg(fill_L, abv_pct)[0]))
