"""What a mash plan may be. See docs/mash.md."""

from __future__ import annotations

from gristwright.basics import Address, Problem
from gristwright.records.fields import faults
from gristwright.records.plant import WATERS, MashPlan
from gristwright.stages.mash.limits_plan import plan_problems

BOILING_DEGC = 100.0


def mash_problems(plan: MashPlan, where: Address) -> list[Problem]:
    """Everything outside its bounds, and parts that cannot stand beside each other; warnings are among them."""
    return [*faults(plan, where), *order_of_waters(plan, where), *plan_problems(plan, where)]


def order_of_waters(plan: MashPlan, where: Address) -> list[Problem]:
    """Waters of no known name, named twice or out of their order."""
    names = [water.name for water in plan.waters]
    unknown = [(number, name) for number, name in enumerate(names, start=1) if name not in WATERS]
    if unknown:
        way_out = f"Use one of: {', '.join(WATERS)}."
        return [Problem(where.to("waters", n, "name"), f"{name!r} is no water.", way_out) for n, name in unknown]
    if names == list(WATERS[: len(names)]):
        return []
    missing = next((name for name in WATERS[: len(names)] if name not in names), "")
    what = f"{missing}: is missing." if missing else f"{', '.join(names)} is not the order of the waters."
    return [Problem(where.to("waters"), what, f"Name them from the first on, each once: {', '.join(WATERS)}.")]


def liquor_problems(liquor_degC: float, above_grist_K: float, settled_degC: float, where: Address) -> list[Problem]:
    """A liquor that boils, or that would have to be colder than the grist."""
    if liquor_degC > BOILING_DEGC:
        what = f"liquor of {liquor_degC:.1f} degC would be needed to settle at {settled_degC:g} degC: it boils at 100."
        return [Problem(where, what, "Use more litres a kilogram, warm the grist or the tun, or settle lower.")]
    if above_grist_K < 0.0:
        what = f"liquor of {liquor_degC:.1f} degC would be colder than the grist to settle at {settled_degC:g} degC."
        return [Problem(where, what, "Check the temperature of the grist, or use more litres a kilogram.")]
    return []
