"""The balance of a tun: what converts, extract into the wort, the rest into the draff. See docs/mash.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.quantities.gravity import WATER_20C_kg_m3, sg_from_degP
from gristwright.records.plant import MashPlan
from gristwright.records.streams import Draining, Grist, RunOff, Wort
from gristwright.stages.mash.kept import kept_share
from gristwright.stages.mash.laboratory import MashEffect
from gristwright.stages.mash.room import SOLIDS_L_PER_KG

# By the vessel in which the wort is drawn off the grain.
RECOVERY = {
    "tun": "mash.extract_recovery",
    "lauter": "mash.extract_recovery_lauter",
    "filter": "mash.extract_recovery_filter",
}
DRY_MATTER = 0.89  # of a mixed grist; brewing handbooks, from memory


@dataclass(frozen=True)
class Drained:
    """How the wort of a mash leaves its grain, how a usual mash's does, and its hours."""

    here: Draining
    usual: Draining
    ran: RunOff


def run_off(
    grist: Grist,
    plan: MashPlan,
    draws: Draws,
    grain_in: bool = False,
    effect: MashEffect | None = None,
    drained: Drained | None = None,
) -> Wort:
    """Wort per tonne of grist; every array (members,). The extract lost is counted from what stays in the draff.

    In a grain-in house nothing is drawn off: the whole mash goes into the washback and no extract is lost. `effect`
    takes off what the simulated mash leaves unconverted or as dextrin beyond the laboratory's. `drained` says what
    strength, washing and bed leave in the grain; without it a usual mash's share is left.
    """
    recovery = np.ones_like(grist.psy_lpa_per_t) if grain_in else _recovered(plan, draws, drained)
    unconverted, dextrin = (0.0, 0.0) if effect is None else (effect.unconverted, effect.dextrin)
    laboratory_kg = 10.0 * grist.extract_asis_pct * (1.0 - unconverted)
    extract_kg = laboratory_kg * recovery
    volume = np.full_like(extract_kg, plan.wort_L_per_t)
    # In a whole mash a saccharometer reads the liquid between the grains.
    solids_L = SOLIDS_L_PER_KG * (DRY_MATTER * 1000.0 - extract_kg) if grain_in else 0.0
    plato = wort_degP(1000.0 * extract_kg / (volume - solids_L))
    mashed = grist.psy_lpa_per_t * (1.0 - unconverted - dextrin)
    return Wort(
        volume_L_per_t=volume,
        extract_kg_per_t=extract_kg,
        lost_extract_kg_per_t=laboratory_kg * (1.0 - recovery),
        original_gravity_degP=plato,
        original_gravity_sg=sg_from_degP(plato),
        potential_lpa_per_t=mashed * recovery,
        lost_lpa_per_t=mashed * (1.0 - recovery),
        unconverted_lpa_per_t=grist.psy_lpa_per_t * unconverted,
        dextrin_lpa_per_t=grist.psy_lpa_per_t * dextrin,
        starch_left_pct=None if effect is None else effect.starch_left_pct,
        unopened_pct=None if effect is None else effect.unopened_pct,
        mash_left_pct=None if effect is None else effect.mash_left_pct,
        held_back_pct=None if effect is None else effect.held_back_pct,
        fermentable_pct=None if effect is None else effect.fermentable_pct,
        run_off=None if drained is None else drained.ran,
    )


def _recovered(plan: MashPlan, draws: Draws, drained: Drained | None) -> FloatArray:
    """Share of the extract that leaves the grain, (members,)."""
    usual = draws[RECOVERY[plan.vessel]]
    if drained is None:
        return usual
    tight = np.maximum(drained.ran.slow, 1.0) ** draws["grist.bed_slow_loss"]
    return np.asarray(1.0 - kept_share(drained.here, drained.usual, 1.0 - usual, tight))


def wort_degP(extract_g_per_L: FloatArray) -> FloatArray:
    """Extract [degP] of wort holding so many grams a litre at 20 degC, by fixed point on its density; (members,)."""
    degP = extract_g_per_L / 10.0
    for _ in range(12):
        degP = 100.0 * extract_g_per_L / (WATER_20C_kg_m3 * sg_from_degP(degP))
    return degP
