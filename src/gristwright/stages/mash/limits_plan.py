"""What the parts of a mash plan may be beside each other. See docs/mash.md."""

from __future__ import annotations

from itertools import pairwise

from gristwright.basics import Address, Problem
from gristwright.records.plant import CookerPlan, MashPlan
from gristwright.stages.mash.limits_run_off import run_off_problems
from gristwright.stages.mash.model import SOLIDS_L_PER_KG

FULL = 0.95  # of the vessel; our estimate of the room that rakes and foam want


def plan_problems(plan: MashPlan, at: Address, grain_in: bool = False) -> list[Problem]:
    """Parts that exclude or lack each other, and a mash that its vessel does not hold.

    `at` is the address of the mash. Warnings are among them.
    """
    problems = _ways(plan, at) + _order_of_rests(plan, at) + _litres(plan, at) + _water(plan, at)
    if plan.cooker is not None:
        problems += _cooker(plan, plan.cooker, at)
    if plan.premalt_pct > 0.0 and plan.cook_degC is None:
        what = f"{plan.premalt_pct:g} % of malt for a cooker, and the house has none."
        problems.append(Problem(at.to("premalt_pct"), what, "Give cook_degC, or take premalt_pct out."))
    if grain_in and plan.waters:
        what = "are given for a grain-in house, which draws nothing off its grain."
        problems.append(Problem(at.to("waters"), what, "Give liquor_L_per_kg, or make the kind separated."))
    return problems + _room(plan, at, grain_in) + run_off_problems(plan, at, grain_in)


def _ways(plan: MashPlan, at: Address) -> list[Problem]:
    """A mash has waters, rests or a cooker."""
    problems = []
    if plan.rests and plan.waters:
        what = "stand beside waters: a mash with rests has one liquor and is run off after the last rest."
        problems.append(Problem(at.to("rests"), what, "Keep the rests with liquor_L_per_kg, or keep the waters."))
    if plan.rests and (plan.cook_degC is not None or plan.cooker is not None):
        what = "stand beside a cooker, which has its own course."
        problems.append(Problem(at.to("rests"), what, "Keep the rests, or keep cook_degC and the cooker."))
    return problems


def _order_of_rests(plan: MashPlan, at: Address) -> list[Problem]:
    problems = []
    for number, (before, after) in enumerate(pairwise(plan.rests), start=2):
        if after.settled_degC < before.settled_degC:
            what = f"{after.settled_degC:g} degC is colder than the rest before it, {before.settled_degC:g} degC."
            way_out = "Enzymes lost there do not come back: check the order of the rests."
            problems.append(Problem(at.to("rests", number, "settled_degC"), what, way_out, warning=True))
    return problems


def _litres(plan: MashPlan, at: Address) -> list[Problem]:
    problems = []
    if plan.liquor_L_per_kg is not None and plan.waters:
        what = "stands beside waters, which say their litres themselves."
        problems.append(Problem(at.to("liquor_L_per_kg"), what, "Keep waters.first.L_per_kg, or take the waters out."))
    if plan.waters and plan.waters_to_washback > max(len(plan.waters), 2):
        what = f"{plan.waters_to_washback} waters go to the washback and {len(plan.waters)} are given."
        problems.append(Problem(at.to("waters_to_washback"), what, "Give the other waters, or a smaller number."))
    return problems


def _water(plan: MashPlan, at: Address) -> list[Problem]:
    given = {"calcium_mg_per_L": plan.calcium_mg_per_L, "alkalinity_mg_per_L": plan.alkalinity_mg_per_L}
    missing = [key for key, value in given.items() if value is None]
    if len(missing) != 1:
        return []
    other = next(key for key in given if key not in missing)
    way_out = "Calcium and alkalinity move the pH against each other: give both or neither."
    return [Problem(at.to(missing[0]), f"is missing beside {other}.", way_out)]


def _cooker(plan: MashPlan, cooker: CookerPlan, at: Address) -> list[Problem]:
    """A cook without its temperature, or steps that do not go up to it and down from it."""
    if plan.cook_degC is None:
        what = "is given without cook_degC, the hottest temperature of the cook."
        return [Problem(at.to("cooker"), what, "Give cook_degC in [mash], or take the cooker out.")]
    problems = []
    if cooker.slurry_degC > plan.cook_degC:
        what = f"{cooker.slurry_degC:g} degC is hotter than the cook, {plan.cook_degC:g} degC."
        problems.append(Problem(at.to("cooker", "slurry_degC"), what, "Give the slurry before it is heated."))
    low, high = plan.settled_mash_degC, plan.cook_degC
    if cooker.second_species and (cooker.second_degC < low or cooker.second_degC > high):
        what = f"{cooker.second_degC:g} degC is not between malt and cook, {low:g}-{high:g} degC."
        problems.append(
            Problem(at.to("cooker", "second_degC"), what, "Give where the second grain goes in on the way down.")
        )
    return problems


def _room(plan: MashPlan, at: Address, grain_in: bool) -> list[Problem]:
    """More mash than the vessel holds, or hardly any room left; nothing where the plan states no litres."""
    litres = filled_L(plan, grain_in)
    if plan.vessel_L is None or litres is None or not litres > FULL * plan.vessel_L:
        return []
    mash = f"{plan.kg_per_mash:g} kg of grist and its liquor fill {litres:.0f} L"
    if litres > plan.vessel_L:
        way_out = "Mash less grain, take fewer litres a kilogram, or correct vessel_L."
        return [Problem(at.to("vessel_L"), f"{mash}, and the vessel holds {plan.vessel_L:g} L.", way_out)]
    what = f"{mash} of {plan.vessel_L:g} L: more than {100.0 * FULL:g} %."
    return [Problem(at.to("vessel_L"), what, "Leave room for rakes and foam.", warning=True)]


def filled_L(plan: MashPlan, grain_in: bool = False) -> float | None:
    """Litres in the vessel with the first liquor in: water and 0.67 L for each kilogram of grain (from memory).

    A grain-in house without stated litres has its whole mash there; otherwise None where none are stated.
    """
    first = plan.waters[0].L_per_kg if plan.waters else plan.liquor_L_per_kg
    if first is not None:
        return plan.kg_per_mash * (first + SOLIDS_L_PER_KG)
    return plan.kg_per_mash * plan.wort_L_per_t / 1000.0 if grain_in else None
