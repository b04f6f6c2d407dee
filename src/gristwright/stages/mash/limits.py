"""What a mash plan may be. See docs/mash.md."""

from __future__ import annotations

from gristwright.basics import Problem
from gristwright.records.plant import MashPlan

KG_PER_MASH = (1.0, 100_000.0)
VOLUME_L_PER_T = (2500.0, 9000.0)
SETTLED_DEGC = (40.0, 78.0)
COOK_DEGC = (60.0, 160.0)
MASH_PH = (4.5, 6.5)
PREMALT_PCT = (0.0, 20.0)
BACKSET_PCT = (0.0, 60.0)
PLATE_M2 = (0.1, 500.0)
RUN_OFF_HOURS = (0.2, 24.0)


def mash_problems(plan: MashPlan, where: str) -> list[Problem]:
    """Everything outside what the published balance was made for."""
    checks = (
        ("kg_per_mash", plan.kg_per_mash, KG_PER_MASH, "kg", "Give the grist of one mash."),
        (
            "wort_L_per_t",
            plan.wort_L_per_t,
            VOLUME_L_PER_T,
            "litres a tonne",
            "Give the volume a tonne of grist fills.",
        ),
        ("settled_mash_degC", plan.settled_mash_degC, SETTLED_DEGC, "degC", "Give the settled mash, not the liquor."),
        ("cook_degC", plan.cook_degC, COOK_DEGC, "degC", "Leave it out when there is no cooker."),
        ("mash_pH", plan.mash_pH, MASH_PH, "pH", "Leave it out when it was not measured."),
        ("premalt_pct", plan.premalt_pct, PREMALT_PCT, "%", "Give the malt in the cooker in % of the grist."),
        ("backset_pct", plan.backset_pct, BACKSET_PCT, "%", "Give thin stillage in % of the mash liquor."),
    )
    return [
        Problem(f"{where}, {field}", f"{value:g} {unit} is outside {low:g}-{high:g} {unit}.", way_out)
        for field, value, (low, high), unit, way_out in checks
        if value is not None and not low <= value <= high
    ]
