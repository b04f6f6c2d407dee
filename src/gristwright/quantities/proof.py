"""US proof and proof gallons at 60 degF, and the historic proof of the United Kingdom. See docs/quantities.md."""

from __future__ import annotations

from functools import cache

import numpy as np

from gristwright.quantities.alcoholometry import (
    abv_pct_from_density,
    abv_pct_from_mass_fraction,
    density_by_mass_kg_m3,
    mass_fraction_from_abv,
    mass_fraction_from_abv_at,
)
from gristwright.quantities.bounds import N, as_given, refuse_outside

F60_degC = (60.0 - 32.0) / 1.8
F51_degC = (51.0 - 32.0) / 1.8
US_GALLON_L = 3.785411784
POUND_kg = 0.45359237
# Air and brass weights behind the pounds per gallon of the US gauging tables. The air density was chosen so that water
# comes out at the 8.3282 lb/gal of 27 CFR 21.161; standing: derived.
GAUGING_AIR_kg_m3, GAUGING_WEIGHTS_kg_m3 = 1.2185, 8400.0


def abv_60F_pct(abv_pct: N) -> N:
    """Strength with both volumes at 60 degF [%vol] of a strength at 20 degC [%vol]. OIML R 22 at 15.56 degC."""
    return abv_pct_from_mass_fraction(mass_fraction_from_abv(abv_pct), F60_degC)


def us_proof(abv_pct: N) -> N:
    """US proof of a strength [%vol at 20 degC]: twice the %vol at 60 degF. 27 CFR 30.11."""
    return as_given(2.0 * np.asarray(abv_60F_pct(abv_pct)), abv_pct)


def abv_pct_from_us_proof(proof: N) -> N:
    """Strength [%vol at 20 degC] of a US proof. 27 CFR 30.11. Raises Refused outside 0..200."""
    refuse_outside("proof", proof, 0.0, 200.0, "US proof", "Pure alcohol is 200 US proof.")
    return abv_pct_from_mass_fraction(mass_fraction_from_abv_at(proof / 2.0, F60_degC))


def proof_gallons(us_gallons_60F: N, proof: float | N) -> N:
    """Proof gallons in a volume [US gal at 60 degF] of a US proof. 27 CFR 30.11."""
    return as_given(np.asarray(us_gallons_60F) * np.asarray(proof) / 100.0, us_gallons_60F)


@cache
def lpa_per_proof_gallon() -> float:
    """Litres of pure alcohol at 20 degC in one US proof gallon [L], 1.9018.

    A proof gallon holds 1.8927 L of alcohol measured at 60 degF; the same alcohol fills 0.48 % more at 20 degC.
    """
    alcohol_60F_L = 0.5 * US_GALLON_L
    return alcohol_60F_L * float(density_by_mass_kg_m3(1.0, F60_degC)) / float(density_by_mass_kg_m3(1.0))


def lpa_from_proof_gallons(gallons: N) -> N:
    """Litres of pure alcohol at 20 degC [L] of US proof gallons."""
    return gallons * lpa_per_proof_gallon()


def proof_gallons_from_lpa(lpa_20C_L: N) -> N:
    """US proof gallons of litres of pure alcohol at 20 degC [L]."""
    return lpa_20C_L / lpa_per_proof_gallon()


def pounds_per_wine_gallon(proof: N) -> N:
    """Weight in air [lb] of one US gallon at 60 degF of a US proof. The quantity of 27 CFR 30.65 (Table 5)."""
    refuse_outside("proof", proof, 0.0, 200.0, "US proof", "Pure alcohol is 200 US proof.")
    p = np.asarray(mass_fraction_from_abv_at(np.asarray(proof, dtype=np.float64) / 2.0, F60_degC))
    density = np.asarray(density_by_mass_kg_m3(p, F60_degC))
    weighed = density * (1.0 - GAUGING_AIR_kg_m3 / density) / (1.0 - GAUGING_AIR_kg_m3 / GAUGING_WEIGHTS_kg_m3)
    return as_given(weighed * US_GALLON_L / 1000.0 / POUND_kg, proof)


def wine_gallons_per_pound(proof: N) -> N:
    """US gallons at 60 degF in one pound weighed in air. The quantity of 27 CFR 30.64 (Table 4)."""
    return as_given(1.0 / np.asarray(pounds_per_wine_gallon(proof)), proof)


def proof_gallons_from_pounds(pounds: N, proof: float | N) -> N:
    """US proof gallons in a weight in air [lb] of a US proof. The quantity of 27 CFR 30.63 and 30.64."""
    per_pound = np.asarray(wine_gallons_per_pound(np.asarray(proof, dtype=np.float64)))
    return as_given(np.asarray(pounds) * per_pound * np.asarray(proof) / 100.0, pounds)


def true_us_proof(reading: N, degF: float | N, glass_per_K: float = 25e-6) -> N:
    """US proof from a hydrometer's reading at t [degF], graduated at 60 degF. As 27 CFR 30.61 (Table 1)."""
    degC = (np.asarray(degF, dtype=np.float64) - 32.0) / 1.8
    p_shown = np.asarray(mass_fraction_from_abv_at(np.asarray(reading, dtype=np.float64) / 2.0, F60_degC))
    shown = np.asarray(density_by_mass_kg_m3(p_shown, F60_degC))
    density = shown / (1.0 + glass_per_K * (degC - F60_degC))
    return as_given(us_proof(np.asarray(abv_pct_from_density(density, degC))), reading)


def obscuration_us_proof(solids_g_100mL: N) -> N:
    """How far dissolved solids [g/100 mL] hide the proof: 4 proof per g/100 mL, 80 to 100 proof. 27 CFR 30.32(b).

    Raises Refused above 0.6 g/100 mL, where the spirit must be distilled before gauging (27 CFR 30.31, 30.32).
    """
    way_out = "Distil the sample and gauge the distillate; read the current text of the rule."
    refuse_outside("dissolved solids", solids_g_100mL, 0.0, 0.6, "g/100 mL", way_out)
    return 4.0 * solids_g_100mL


@cache
def uk_proof_spirit() -> tuple[float, float]:
    """Mass fraction and strength [%vol at 60 degF] of historic UK proof spirit.

    It weighs at 51 degF 12/13 of an equal volume of water. Customs and Excise Act 1952.
    """
    proof_density = 12.0 / 13.0 * float(density_by_mass_kg_m3(0.0, F51_degC))
    p = float(mass_fraction_from_abv(abv_pct_from_density(proof_density, F51_degC)))
    return p, float(abv_pct_from_mass_fraction(p, F60_degC))


def uk_proof(abv_pct: N) -> N:
    """Historic UK proof degrees of a strength [%vol at 20 degC]: 100 is proof spirit, 175.2 pure alcohol."""
    return as_given(100.0 * np.asarray(abv_60F_pct(abv_pct)) / uk_proof_spirit()[1], abv_pct)


def abv_pct_from_uk_proof(proof: N) -> N:
    """Strength [%vol at 20 degC] of historic UK proof degrees. Raises Refused beyond pure alcohol."""
    strongest = 100.0 * 100.0 / uk_proof_spirit()[1]
    refuse_outside("proof", proof, 0.0, strongest, "UK proof", "Pure alcohol is 175.2 UK proof.")
    abv_at_60F = np.asarray(proof, dtype=np.float64) * uk_proof_spirit()[1] / 100.0
    p = np.asarray(mass_fraction_from_abv_at(np.minimum(abv_at_60F, 100.0), F60_degC))
    return as_given(abv_pct_from_mass_fraction(p), proof)
