"""What the parts of a mash plan may be beside each other. See docs/mash.md."""

from __future__ import annotations

from itertools import pairwise

from gristwright.basics import Address, Problem
from gristwright.records.plant import WATERS, CookerPlan, Decoction, MashPlan
from gristwright.stages.mash import infusion
from gristwright.stages.mash.limits_run_off import run_off_problems
from gristwright.stages.mash.room import SOLIDS_L_PER_KG

MOST_SPARGES = len(WATERS)
FULL = 0.95  # of the vessel; our estimate of the room that rakes and foam want


def plan_problems(plan: MashPlan, at: Address, grain_in: bool = False) -> list[Problem]:
    """Parts that exclude or lack each other, and a mash that its vessel does not hold.

    `at` is the address of the mash. Warnings are among them.
    """
    problems = _ways(plan, at) + _order_of_rests(plan, at) + _litres(plan, at) + _water(plan, at)
    problems += _sparges(plan, at, grain_in) + _decoctions(plan, at) + infusion.plan_problems(plan, at)
    if plan.cooker is not None:
        problems += _cooker(plan, plan.cooker, at)
    if plan.premalt_pct > 0.0 and plan.cook_degC is None:
        what = f"{plan.premalt_pct:g} % of malt for a cooker, and the house has none."
        problems.append(Problem(at.to("premalt_pct"), what, "Give cook_degC, or take premalt_pct out."))
    if grain_in and plan.waters:
        what = "are given for a grain-in house, which draws nothing off its grain."
        problems.append(Problem(at.to("waters"), what, "Give liquor_L_per_kg, or make the kind separated."))
    room = _room(plan, at, grain_in)
    overflows = any(not problem.warning for problem in room)
    return problems + room + run_off_problems(plan, at, grain_in, overflows)


def _ways(plan: MashPlan, at: Address) -> list[Problem]:
    """A mash has waters, rests or a cooker."""
    problems = []
    if plan.rests and plan.waters:
        what = "stand beside waters: a mash with rests has one liquor, is run off after the last rest and sparged."
        problems.append(Problem(at.to("rests"), what, "Write the later waters as sparges, or keep the waters alone."))
    if plan.rests and (plan.cook_degC is not None or plan.cooker is not None):
        what = "stand beside a cooker, which has its own course."
        problems.append(Problem(at.to("rests"), what, "Keep the rests, or keep cook_degC and the cooker."))
    return problems


def _sparges(plan: MashPlan, at: Address, grain_in: bool) -> list[Problem]:
    """Sparges of a mash that is not drawn off, beside waters, or more than have a name."""
    if not plan.sparges:
        return []
    place = at.to("sparges")
    if grain_in:
        what = "are given for a grain-in house, which draws nothing off its grain."
        return [Problem(place, what, "Give their litres in liquor_L_per_kg, or make the kind separated.")]
    if plan.waters:
        what = "stand beside waters, which are run off one behind the other themselves."
        return [Problem(place, what, "Write them as waters, or give rests or liquor_L_per_kg in place of the waters.")]
    if len(plan.sparges) > MOST_SPARGES:
        return [Problem(place, f"are {len(plan.sparges)}; at most {MOST_SPARGES} are run.", "Put some together.")]
    return []


def _decoctions(plan: MashPlan, at: Address) -> list[Problem]:
    """Decoctions that come from no rest or lead to none, two at once, a mash that would not get hotter."""
    if plan.decoctions and not plan.rests:
        what = "are given without rests, between which they heat the mash."
        return [Problem(at.to("decoctions"), what, "Give the rest that each is taken from and the one it leads to.")]
    problems = []
    for number, one in enumerate(plan.decoctions, start=1):
        place = at.to("decoctions", number, "after_rest")
        if not 1 <= one.after_rest < len(plan.rests):
            what = f"rest {one.after_rest} of {len(plan.rests)} has no rest behind it that the decoction leads to."
            problems.append(Problem(place, what, f"Give 1 to {len(plan.rests) - 1}, or add the next rest."))
            continue
        if one.after_rest in [other.after_rest for other in plan.decoctions[: number - 1]]:
            what = f"a second decoction is taken after rest {one.after_rest}."
            problems.append(Problem(place, what, "Give the rest that the first one leads to."))
        problems += _heats(plan, one, number, at)
    return problems


def _heats(plan: MashPlan, one: Decoction, number: int, at: Address) -> list[Problem]:
    """A decoction boils: the next rest is hotter than the one before, its own rest on the way lies between."""
    before, after = (plan.rests[one.after_rest + k].settled_degC for k in (-1, 0))
    if after <= before:
        what = f"leads from {before:g} to {after:g} degC: a boiled part makes the mash hotter."
        return [Problem(at.to("decoctions", number, "after_rest"), what, "Take it out, or correct the rests.")]
    if one.held_min > 0.0 and one.held_degC < before:
        what = f"{one.held_degC:g} degC is colder than the rest it is taken from, {before:g} degC."
        return [Problem(at.to("decoctions", number, "held_degC"), what, "Give a rest on the way up, or 0 min of it.")]
    return []


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
