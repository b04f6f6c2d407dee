"""Where a mash settles when a plan states the liquor instead. See docs/mash.md."""

from __future__ import annotations

from gristwright.records.plant import MashPlan
from gristwright.stages.mash import heat

# Malt as it is usually delivered; a plan says nothing of the lots.
USUAL_MOISTURE_PCT = 4.5


def first_L_per_kg(plan: MashPlan) -> float | None:
    """Litres of the first liquor for each kilogram of grist, as the plan states them; None where it does not."""
    return plan.waters[0].L_per_kg if plan.waters else plan.liquor_L_per_kg


def settled_by_liquor_degC(plan: MashPlan, moisture_pct: float = USUAL_MOISTURE_PCT) -> float | None:
    """Settled mash [degC] that the plan's `liquor_degC` makes, by the heat balance; brewing-room handbook 1984/85.

    None where the plan states no liquor temperature or no litres of the first water.
    """
    litres = first_L_per_kg(plan)
    if plan.liquor_degC is None or litres is None:
        return None
    ratio, rise = heat.slaking(moisture_pct)
    return float(heat.mash_settled_degC(plan.liquor_degC, plan.grist_degC, litres, ratio, rise, plan.vessel_loss_K))
