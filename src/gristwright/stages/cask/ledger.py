"""Reading a matured cask: the four ways to state a loss, the neutral humidity, the legal floor. See docs/cask.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import FloatArray, Problem, Refused, at
from gristwright.quantities import alcoholometry
from gristwright.records.cask import MaturedCask
from gristwright.stages.cask import vapour


@dataclass(frozen=True)
class YearlyLoss:
    """One loss in its four conventions, each [% per year], shape (members,)."""

    bulk_of_original_pct: FloatArray
    bulk_of_remaining_pct: FloatArray
    alcohol_of_original_pct: FloatArray
    alcohol_of_remaining_pct: FloatArray


def of_original_pct(left_share: FloatArray, years: float) -> FloatArray:
    """Loss [% of the original per year], straight line, from the share left [0..1]; any shape."""
    return 100.0 * (1.0 - left_share) / years


def of_remaining_pct(left_share: FloatArray, years: float) -> FloatArray:
    """Loss [% of what remains per year], compound, from the share left [0..1]; any shape."""
    return 100.0 * (1.0 - left_share ** (1.0 / years))


def yearly_loss(matured: MaturedCask) -> YearlyLoss:
    """The loss of a cask as bulk and as alcohol, of the original and of the remaining; what the wood holds counts.

    Raises Refused when the cask has not lain a month.
    """
    years = (len(matured.month_volume_L) - 1) / 12.0
    if years <= 0.0:
        what = "a yearly loss needs at least one month in the cask, and this one has none."
        raise Refused([Problem(at("matured cask"), what, "Forecast a month or more.")])
    bulk_left = matured.volume_L / matured.month_volume_L[0]
    alcohol_left = matured.lpa_L / matured.filled_lpa_L
    return YearlyLoss(
        of_original_pct(bulk_left, years),
        of_remaining_pct(bulk_left, years),
        of_original_pct(alcohol_left, years),
        of_remaining_pct(alcohol_left, years),
    )


def strength_neutral_humidity(abv_pct: FloatArray, degC: float, water_to_ethanol: FloatArray) -> FloatArray:
    """Relative humidity [0..1] at which strength stays put: below it strength rises, above it falls; any shape.

    `abv_pct` is the strength in the cask [%vol at 20 degC], `water_to_ethanol` the ratio of the two permeances.
    Derived: both components leave in the proportion in which they lie in the liquid.
    """
    share = alcoholometry.mass_fraction_from_abv(abv_pct)
    ethanol_activity, water_activity = vapour.activities(share)
    ethanol_kPa = ethanol_activity * vapour.ethanol_saturation_kPa(degC)
    water_flux_kPa = ethanol_kPa / water_to_ethanol * (1.0 - share) / share
    return water_activity - water_flux_kPa / vapour.water_saturation_kPa(degC)


def first_month_below(matured: MaturedCask, floor_abv_pct: float = 40.0) -> FloatArray:
    """First month at whose end the cask lies under the floor [%vol], shape (members,); inf where it never does."""
    below = matured.month_abv_pct < floor_abv_pct
    return np.where(below.any(axis=0), below.argmax(axis=0).astype(np.float64), np.inf)
