"""The blended grist by mass, and its board of enzymes. See docs/grist.md."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from gristwright.basics import BoolArray, Draws, FloatArray
from gristwright.quantities.extract import PSY_FACTOR
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.records.lot import Material
from gristwright.records.streams import Grist

# Litres of pure alcohol at 20 degC from one kilogram of substrate at theory: grams per gram over kilograms per litre.
ETHANOL_KG_PER_L = ETHANOL_20C_kg_m3 / 1000.0
# Malt sugars as 15 % monosaccharide, 68 % maltose, 17 % maltotriose: 0.5359 g/g; anhydrous starch 0.56825 g/g
# (stoichiometry; molar masses 180.156, 342.297, 504.438, 162.141, 46.068).
MALT_SUGARS_L_PER_KG = (0.15 * 0.51142 + 0.68 * 0.53834 + 0.17 * 0.54795) / ETHANOL_KG_PER_L
STARCH_L_PER_KG = 0.56825 / ETHANOL_KG_PER_L


@dataclass(frozen=True)
class LotColumns:
    """The lots' values on every draw, each of shape (members, lots)."""

    extract_asis_pct: FloatArray
    fermentability_pct: FloatArray
    diastatic_power_degLintner: FloatArray
    dextrinising_units: FloatArray
    price_per_t: FloatArray
    malted: FloatArray  # (lots,) 1 for malt, 0 for raw grain
    raw_starch_asis_pct: FloatArray  # zero for malt
    raw_efficiency: FloatArray  # of theory, cooked, converted and fermented in the laboratory; zero for malt
    beta_glucan_mg_per_L: FloatArray = field(default_factory=lambda: np.zeros((1, 0)))  # of laboratory wort
    materials: tuple[Material, ...] = ()  # the type of each lot; none: nothing is known of the bed it makes


def blend(shares: FloatArray, lots: LotColumns, draws: Draws) -> Grist:
    """The grist by mass as weighed; `shares` (lots,) or (members, lots), adding to one.

    Diastatic power is averaged in degLintner because that scale reads zero without enzyme; degWK does not. Malt is
    worth 6.06 L/t for each per cent of fermentable extract, raw grain its starch at theory times an efficiency: the
    malt figure already holds fermentation loss and was never measured on cooked raw grain.
    """
    extract = _mean(shares, lots.extract_asis_pct)
    malt_extract = _mean(shares, lots.extract_asis_pct * lots.malted)
    fermentable = _mean(shares, lots.extract_asis_pct * lots.fermentability_pct * lots.malted / 100.0)
    raw = 10.0 * STARCH_L_PER_KG * lots.raw_starch_asis_pct
    raw_theory = _mean(shares, raw)
    dextrin = np.maximum(malt_extract * draws["grist.carbohydrate_share"] - fermentable, 0.0)
    theory = 10.0 * (fermentable * MALT_SUGARS_L_PER_KG + dextrin * STARCH_L_PER_KG) + raw_theory
    return Grist(
        extract_asis_pct=extract,
        fermentable_extract_pct=fermentable,
        theory_lpa_per_t=theory,
        psy_lpa_per_t=PSY_FACTOR * fermentable + _mean(shares, raw * lots.raw_efficiency),
        diastatic_power_degLintner=_mean(shares, lots.diastatic_power_degLintner),
        dextrinising_units=_mean(shares, lots.dextrinising_units),
        malt_cost_per_t=_mean(shares, lots.price_per_t),
        malt_extract_asis_pct=malt_extract,
        raw_theory_lpa_per_t=raw_theory,
        raw_lost_lpa_per_t=_mean(shares, raw * (1.0 - lots.raw_efficiency)),
    )


def _mean(shares: FloatArray, values: FloatArray) -> FloatArray:
    return np.asarray((shares * values).sum(axis=-1))


def dextrin_lpa_per_t(grist: Grist, draws: Draws) -> FloatArray:
    """Alcohol the dextrins of the malt would hold [L/t], which yeast cannot take; shape (members,)."""
    carbohydrate = grist.malt_extract_asis_pct * draws["grist.carbohydrate_share"]
    return np.asarray(10.0 * STARCH_L_PER_KG * np.maximum(carbohydrate - grist.fermentable_extract_pct, 0.0))


def by_product_lpa_per_t(grist: Grist) -> FloatArray:
    """Alcohol given up to yeast growth, glycerol and acids between theory and the predicted yield [L/t]."""
    per_pct = 10.0 * MALT_SUGARS_L_PER_KG - PSY_FACTOR
    return np.asarray(per_pct * grist.fermentable_extract_pct)


def short_of_enzyme(grist: Grist, least_degLintner: float, least_DU: float) -> BoolArray:
    """True where diastatic power or dextrinising units lie under the floor; the worse decides. Shape (members,)."""
    return np.asarray(
        (grist.diastatic_power_degLintner < least_degLintner) | (grist.dextrinising_units < least_DU), dtype=np.bool_
    )
