"""Hot liquor that brings a mash from rest to rest in a vessel that cannot be heated. See docs/mash.md.

All liquor up to the last rest is stated together; how much of it goes in at each rest follows from the heat balance.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from gristwright.basics import Address, Problem
from gristwright.records.fields import number_of
from gristwright.records.plant import MashPlan, Rest
from gristwright.stages.mash import heat

# Hot liquor nearer to the rest than this would need more litres than a tun holds; our choice.
LEAST_K = 3.0


def liquors_L_per_kg(
    rests: Sequence[Rest], whole_L_per_kg: float, liquor_degC: float, heat_ratio: float
) -> tuple[float, ...]:
    """Liquor let in at each rest [L/kg], together `whole_L_per_kg`: at mashing in, then hot liquor for every next rest.

    Each settles by (r + S) (T_next - T) = w (T_liquor - T_next); `heat_ratio` S is that of the grist over water's.
    """
    grown = [1.0]
    for rest, after in pairwise(rests):
        step = (after.settled_degC - rest.settled_degC) / (liquor_degC - after.settled_degC)
        grown.append(grown[-1] * (1.0 + step))
    first = (whole_L_per_kg + heat_ratio) / grown[-1]
    later = [first * (after - before) for before, after in pairwise(grown)]
    return (first - heat_ratio, *later)


def plan_problems(plan: MashPlan, at: Address) -> list[Problem]:
    """Hot liquor for rests that it cannot bring the mash to."""
    hot = plan.rest_liquor_degC
    if hot is None:
        return []
    place = at.to("rest_liquor_degC")
    if not plan.rests:
        return [Problem(place, "is given without rests, which it would bring the mash to.", "Give the rests.")]
    if plan.decoctions:
        what = "stands beside decoctions: one of the two brings the mash to its next rest."
        return [Problem(place, what, "Keep the decoctions, or keep the hot liquor.")]
    problems = []
    for number, (before, after) in enumerate(pairwise(plan.rests), start=2):
        here = at.to("rests", number, "settled_degC")
        if after.settled_degC <= before.settled_degC:
            what = f"{after.settled_degC:g} degC is not hotter than the rest before it, {before.settled_degC:g} degC."
            problems.append(Problem(here, what, "Hot liquor makes a mash hotter: correct the rests."))
        elif after.settled_degC > hot - LEAST_K:
            what = f"{after.settled_degC:g} degC is not reached by liquor of {hot:g} degC in litres that a tun holds."
            problems.append(Problem(here, what, f"At most {hot - LEAST_K:g} degC, or hotter liquor."))
    return problems


def split_problems(plan: MashPlan, whole_L_per_kg: float, moisture_pct: float, at: Address) -> list[Problem]:
    """Hot liquor that leaves too little to mash in with."""
    if plan.rest_liquor_degC is None or not plan.rests:
        return []
    ratio = float(heat.slaking(moisture_pct)[0])
    first = liquors_L_per_kg(plan.rests, whole_L_per_kg, plan.rest_liquor_degC, ratio)[0]
    least = number_of(MashPlan, "liquor_L_per_kg").least
    if first >= least:
        return []
    what = (
        f"{whole_L_per_kg:.2f} L/kg up to the last rest leave {first:.2f} L/kg to mash in with: the hot liquor of "
        f"{plan.rest_liquor_degC:g} degC takes the rest."
    )
    # the litres at which just so much is left for mashing in
    need = (least + ratio) * (whole_L_per_kg + ratio) / (first + ratio) - ratio
    return [Problem(at.to("rests"), what, f"Take at least {need:.1f} L/kg, hotter liquor, or rests less far apart.")]
