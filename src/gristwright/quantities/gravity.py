"""Extract and gravity of wort and wash, attenuation, and alcohol by Balling. See docs/quantities.md.

degP is g extract per 100 g; SG is the apparent relative density 20/20 degC; excise degrees are 1000 x SG.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from gristwright.basics import FloatArray
from gristwright.quantities.bounds import N, as_given, refuse_outside
from gristwright.reference.load import csv_rows

WATER_20C_kg_m3, ETHANOL_20C_kg_m3, AIR_kg_m3 = 998.2012, 789.239, 1.2
# The ASBC table spans SG 1.000 to 1.083; the cubic is used a little beyond it, for spent wash and strong wort.
LOWEST_SG, HIGHEST_SG = 0.97, 1.14
ASBC_CUBIC = (135.997, -630.272, 1111.14, -616.868)
ICUMSA_SUCROSE = (998.2012, 385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890)
BALLING = 2.0665


def degP_from_sg(sg: N) -> N:
    """Extract [degP] of a specific gravity [20/20 degC]. ASBC Methods of Analysis, cubic fitted to its table.

    Worst 0.004 degP against the table (SG 1.000 to 1.083). Raises Refused outside SG 0.97 to 1.14.
    """
    way_out = "Give SG 20/20 degC such as 1.060; excise degrees are 1000 times that."
    refuse_outside("gravity", sg, LOWEST_SG, HIGHEST_SG, "SG", way_out)
    a, b, c, d = ASBC_CUBIC
    return ((a * sg + b) * sg + c) * sg + d


def sg_from_degP(degP: N) -> N:
    """Specific gravity [20/20 degC] of an extract [degP]: the ASBC cubic inverted by Newton's method to 1e-12.

    Raises Refused beyond the range of `degP_from_sg`.
    """
    low, high = degP_from_sg(LOWEST_SG), degP_from_sg(HIGHEST_SG)
    refuse_outside("extract", degP, low, high, "degP", "Give g extract per 100 g of wort.")
    a, b, c, d = ASBC_CUBIC
    sg = 1.0 + degP / (258.6 - 0.87955 * degP)
    # The cubic rises without a bend of note in this range: four steps from the usual inverse reach the last digit.
    for _ in range(4):
        miss = ((a * sg + b) * sg + c) * sg + d - degP
        sg = sg - miss / ((3.0 * a * sg + 2.0 * b) * sg + c)
    return sg


def sucrose_density_kg_m3(mass_pct: N) -> N:
    """Density of sucrose solution at 20 degC [kg/m3 in vacuum], 0 to 70 % by mass. ICUMSA SPS-4 (1990), eq. at 20 degC.

    The coefficients are from memory and agree with a printed handbook table. Raises Refused outside the range.
    """
    refuse_outside("sucrose", mass_pct, 0.0, 70.0, "% by mass", "Give g sucrose per 100 g.")
    q = mass_pct / 100.0
    total = 0.0 * q
    for coefficient in reversed(ICUMSA_SUCROSE):
        total = total * q + coefficient
    return total


def apparent_sg(density_20C_kg_m3: N) -> N:
    """Apparent SG 20/20 degC [-] of a density in vacuum at 20 degC [kg/m3]: liquid and water both weighed in air."""
    return (density_20C_kg_m3 - AIR_kg_m3) / (WATER_20C_kg_m3 - AIR_kg_m3)


def extract_kg(litres: N, sg: float | N, degP: float | N) -> N:
    """Extract [kg] in a volume of wort [L at 20 degC] of an SG and an extract [degP]."""
    return as_given(np.asarray(litres) * sg * (WATER_20C_kg_m3 / 1000.0) * np.asarray(degP) / 100.0, litres)


def original_extract_degP(alcohol_pct_mass: N, real_extract_degP: float | N) -> N:
    """Original extract [degP] of alcohol [% mass] and real extract [degP]. Balling (1843-1865), as ASBC Beer-6.

    OE = 100 (2.0665 A + RE) / (100 + 1.0665 A); within about 0.2 degP of modern brewings.
    """
    made = BALLING * np.asarray(alcohol_pct_mass) + np.asarray(real_extract_degP)
    return as_given(100.0 * made / (100.0 + (BALLING - 1.0) * np.asarray(alcohol_pct_mass)), alcohol_pct_mass)


def alcohol_pct_mass(original_degP: N, real_degP: float | N) -> N:
    """Alcohol [% mass] from original and real extract [degP]. Balling: A = (OE - RE) / (2.0665 - 0.010665 OE).

    Raises Refused when the real extract is above the original.
    """
    lost = np.asarray(original_degP) - np.asarray(real_degP)
    way_out = "The real extract cannot be above the original."
    refuse_outside("extract lost", lost, 0.0, 100.0, "degP", way_out)
    return as_given(lost / (BALLING - 0.01 * (BALLING - 1.0) * np.asarray(original_degP)), original_degP)


def attenuation_quotient(original_degP: N) -> N:
    """q of RE = (q OE + AE) / (1 + q): 0.22 + 0.001 OE (from memory; gives Balling's printed factors)."""
    return 0.22 + 0.001 * original_degP


def real_extract_degP(original_degP: N, apparent_degP: float | N) -> N:
    """Real extract [degP] from original and apparent extract [degP] by Balling's attenuation quotient."""
    q = attenuation_quotient(np.asarray(original_degP, dtype=np.float64))
    return as_given((q * np.asarray(original_degP) + np.asarray(apparent_degP)) / (1.0 + q), original_degP)


def real_extract_fixed_degP(original_degP: N, apparent_degP: float | N) -> N:
    """Real extract [degP] by the fixed quotient: RE = 0.1808 OE + 0.8192 AE. 0.1 to 0.2 degP low on modern wash."""
    return as_given(0.1808 * np.asarray(original_degP) + 0.8192 * np.asarray(apparent_degP), original_degP)


def apparent_attenuation_factor(original_degP: N) -> N:
    """Alcohol [% mass] made for each degP of apparent attenuation (Balling's factor b)."""
    return 1.0 / ((BALLING - 0.01 * (BALLING - 1.0) * original_degP) * (1.22 + 0.001 * original_degP))


def tabarie_real_extract_degP(apparent_degP: N, alcohol_pct_mass: float | N) -> N:
    """Real extract [degP] from apparent extract [degP] and alcohol [% mass]. Tabarie's rule.

    SG_RE = SG + 1 - SG of the distillate made up to the volume of the wash. Raises Refused outside the ranges of SG
    and strength.
    """
    from gristwright.quantities.alcoholometry import density_kg_m3

    sg = np.asarray(sg_from_degP(np.asarray(apparent_degP, dtype=np.float64)))
    abv_pct = np.asarray(abv_pct_of_wash(np.asarray(alcohol_pct_mass, dtype=np.float64), sg))
    distillate_sg = apparent_sg(np.asarray(density_kg_m3(abv_pct)))
    return as_given(degP_from_sg(sg + 1.0 - distillate_sg), apparent_degP)


def abv_pct_of_wash(alcohol_pct_mass: N, wash_sg: float | N) -> N:
    """Strength of wash [%vol at 20 degC] from alcohol [% mass] and the wash's SG: A x SG x 0.998201 / 0.789239."""
    return as_given(
        np.asarray(alcohol_pct_mass) * np.asarray(wash_sg) * WATER_20C_kg_m3 / ETHANOL_20C_kg_m3, alcohol_pct_mass
    )


def apparent_attenuation_pct(original_degP: N, apparent_degP: float | N) -> N:
    """Apparent degree of fermentation [%]: 100 (OE - AE) / OE."""
    return as_given(100.0 * (1.0 - np.asarray(apparent_degP) / np.asarray(original_degP)), original_degP)


def real_attenuation_pct(original_degP: N, real_degP: float | N) -> N:
    """Real degree of fermentation [%]: 100 (OE - RE) / OE / (1 - 0.005161 RE). ASBC Beer-6."""
    real = np.asarray(real_degP)
    return as_given(100.0 * (1.0 - real / np.asarray(original_degP)) / (1.0 - 0.005161 * real), original_degP)


@cache
def _excise_steps() -> tuple[FloatArray, FloatArray]:
    rows = csv_rows("tables/uk_excise_factor.csv")
    return np.array([float(r["degrees_from"]) for r in rows]), np.array([float(r["factor"]) for r in rows])


def excise_factor(degrees_lost: N) -> N:
    """Factor [%vol per degree] of the UK excise table for OG - PG [excise degrees], a step function of 0.1 degree.

    HM Revenue & Customs Notice 226, s. 30. Raises Refused outside 0 to 100.7 degrees.
    """
    tenths = np.asarray(np.round(np.asarray(degrees_lost, dtype=np.float64), 1), dtype=np.float64)
    refuse_outside("degrees lost", tenths, 0.0, 100.7, "excise degrees", "Give OG and PG as 1000 x SG, such as 1057.")
    starts, factors = _excise_steps()
    step = np.searchsorted(starts, tenths + 1e-9, side="right") - 1
    picked = np.asarray(factors[np.clip(step, 0, len(factors) - 1)])
    return as_given(np.where(np.isnan(tenths), np.nan, picked), degrees_lost)


def excise_abv_pct(og_degrees: N, pg_degrees: float | N) -> N:
    """Strength [%vol] by the UK excise table from original and present gravity [excise degrees]: (OG - PG) f."""
    lost = np.asarray(og_degrees, dtype=np.float64) - np.asarray(pg_degrees)
    return as_given(lost * np.asarray(excise_factor(lost)), og_degrees)


def excise_abv_declared_pct(og_degrees: N, pg_degrees: float | N) -> N:
    """The same cut, not rounded, to one decimal, as the duty return takes it. HMRC Notice 226, s. 30."""
    return as_given(np.floor(np.asarray(excise_abv_pct(og_degrees, pg_degrees)) * 10.0 + 1e-9) / 10.0, og_degrees)


def attenuation_charge_lpa_per_hL(og_degrees: N, pg_degrees: float | N, degrees_per_lpa: float = 8.0) -> N:
    """Alcohol presumed by law from attenuation [LPA/hL]: one for every 8 degrees (superseded), 8.8 in Ireland.

    Alcoholic Liquor Duties Act 1979 s. 14(2) (text of 1991); Finance Act 2003 (Ireland) s. 75(2). A floor for the
    charge, no prediction: a wash gives one per about 7.6 degrees.
    """
    return as_given((np.asarray(og_degrees) - np.asarray(pg_degrees)) / degrees_per_lpa, og_degrees)
