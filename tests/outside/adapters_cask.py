"""The cask model set to the conditions of a published figure, one scalar out. Climates are ours where none is given."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws
from gristwright.numerics.draws import middles
from gristwright.records.cask import CaskFill, CaskKind, Climate, MaturedCask
from gristwright.reference.load import priors
from gristwright.stages.cask import ledger
from gristwright.stages.cask.model import mature_unchecked

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
