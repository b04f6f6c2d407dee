"""The published balance of a tun: extract into the wort, the rest into the draff. See docs/mash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.quantities.gravity import WATER_20C_kg_m3, sg_from_degP
from gristwright.records.plant import MashPlan
from gristwright.records.streams import Grist, Wort

RESTS_ON = ("mash.extract_recovery",)
# Room taken by undissolved grain [L/kg] and dry matter of a mixed grist; brewing handbooks, from memory.
SOLIDS_L_PER_KG, DRY_MATTER = 0.67, 0.89


def run_off(grist: Grist, plan: MashPlan, draws: Draws, grain_in: bool = False) -> Wort:
    """Wort per tonne of grist; every array (members,). The extract lost is counted from what stays in the draff.

    In a grain-in house nothing is drawn off: the whole mash goes into the washback and no extract is lost.
    """
    recovery = draws["mash.extract_recovery"]
    if grain_in:
        return _whole_mash(grist, plan)
    laboratory_kg = 10.0 * grist.extract_asis_pct
    extract_kg = laboratory_kg * recovery
    volume = np.full_like(extract_kg, plan.wort_L_per_t)
    plato = wort_degP(1000.0 * extract_kg / volume)
    return Wort(
        volume_L_per_t=volume,
        extract_kg_per_t=extract_kg,
        lost_extract_kg_per_t=laboratory_kg * (1.0 - recovery),
        original_gravity_degP=plato,
        original_gravity_sg=sg_from_degP(plato),
        potential_lpa_per_t=grist.psy_lpa_per_t * recovery,
        lost_lpa_per_t=grist.psy_lpa_per_t * (1.0 - recovery),
    )


def _whole_mash(grist: Grist, plan: MashPlan) -> Wort:
    """The whole mash; its gravity is that of the liquid between the grains, which is what a saccharometer reads."""
    extract_kg = 10.0 * grist.extract_asis_pct
    nothing = np.zeros_like(extract_kg)
    volume = np.full_like(extract_kg, plan.wort_L_per_t)
    solids_L = SOLIDS_L_PER_KG * (DRY_MATTER * 1000.0 - extract_kg)
    degP = wort_degP(1000.0 * extract_kg / (volume - solids_L))
    return Wort(volume, extract_kg, nothing, degP, sg_from_degP(degP), grist.psy_lpa_per_t, nothing.copy())


def wort_degP(extract_g_per_L: FloatArray) -> FloatArray:
    """Extract [degP] of wort holding so many grams a litre at 20 degC, by fixed point on its density; (members,)."""
    degP = extract_g_per_L / 10.0
    for _ in range(12):
        degP = 100.0 * extract_g_per_L / (WATER_20C_kg_m3 * sg_from_degP(degP))
    return degP
