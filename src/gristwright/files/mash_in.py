"""The mash of a plant as a distiller writes it: what follows from what is stated, and what cannot stand together.

See docs/files.md.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from gristwright.basics import Address, Problem
from gristwright.files.reader import near_word
from gristwright.records.fields import number_of
from gristwright.records.plant import MashPlan, Rest
from gristwright.reference.grains import kept_raw
from gristwright.stages.mash.decoction import share_problems
from gristwright.stages.mash.limits import order_of_waters
from gristwright.stages.mash.limits_plan import plan_problems
from gristwright.stages.mash.settled import USUAL_MOISTURE_PCT, settled_by_liquor_degC

SETTLED = number_of(MashPlan, "settled_mash_degC")
USUAL_SETTLED_DEGC = 64.0
# Two temperatures that are the same to a thermometer.
SAME_K = 0.05
# What is meant by a strike temperature, by the table it stands in.
INSTEAD = {
    "mash": "liquor_degC for the water before it meets the grain, or settled_mash_degC for the mash after it",
    "waters": "settled_degC for the mash with that water",
    "rests": "settled_degC for the mash",
    "sparges": "liquor_degC for the water before it meets the bed",
    "cooker": "slurry_degC for the cooker before it is heated",
}


def made_ready(mash: Any, where: Address, problems: list[Problem]) -> Any:
    """The table of a mash as the record has it: no strike temperature, a first water that its liquor settles."""
    if not isinstance(mash, dict):
        return mash
    ready = _no_strike(mash, "mash", where, problems)
    for part in ("waters", "rests", "sparges"):
        if isinstance(ready.get(part), list):
            ready[part] = [_no_strike(one, part, where.to(part, n), problems) for n, one in enumerate(ready[part], 1)]
    if "cooker" in ready:
        ready["cooker"] = _no_strike(ready["cooker"], "cooker", where.to("cooker"), problems)
    waters = ready.get("waters")
    if "liquor_degC" in ready and isinstance(waters, list) and waters and isinstance(waters[0], dict):
        ready["waters"] = [{"settled_degC": USUAL_SETTLED_DEGC, **waters[0]}, *waters[1:]]
    return ready


def _no_strike(table: Any, part: str, where: Address, problems: list[Problem]) -> Any:
    """A strike temperature is refused: one source means the liquor with it, another the mash."""
    if not isinstance(table, dict):
        return table
    strikes = [key for key in table if "strike" in key.lower()]
    what = "is read two ways, as the liquor and as the settled mash."
    problems += [Problem(where.to(key), what, f"Write {INSTEAD[part]}.") for key in strikes]
    return {key: value for key, value in table.items() if key not in strikes}


def settled_and_checked(
    plan: MashPlan, given: Mapping[str, Any], where: Address, grain_in: bool, problems: list[Problem]
) -> MashPlan:
    """The plan with the settled temperature that its liquor or its rests give it, faults between its fields noted.

    `given` is the table it was read from. A field that has a fault of its own does not count as missing; what is only
    a warning is said where the mash is computed.
    """
    faults = list(_words_of(plan, given, where))
    if given.get("liquor_degC") is not None:
        plan, more = _by_liquor(plan, given, where)
        faults += more
    elif plan.rests:
        plan, more = _by_rests(plan, given, where)
        faults += more
    faults += order_of_waters(plan, where) + [p for p in plan_problems(plan, where, grain_in) if not p.warning]
    faults += _decoctions(plan, where, [*problems, *faults])
    told = {problem.where for problem in problems}
    problems += [problem for problem in faults if problem.where not in told]
    return plan


def _decoctions(plan: MashPlan, where: Address, before: Sequence[Problem]) -> list[Problem]:
    """Decoctions against the heat balance, at the moisture of usual malt; nothing while rests or litres are open."""
    ready = all("decoctions" not in one.address.path and "rests" not in one.address.path for one in before)
    if not plan.decoctions or plan.liquor_L_per_kg is None or math.isnan(plan.liquor_L_per_kg) or not ready:
        return []
    return share_problems(plan, plan.liquor_L_per_kg, USUAL_MOISTURE_PCT, where)


def follows(plan: MashPlan) -> bool:
    """Whether the settled temperature follows from the liquor or the rests, and need not be stated."""
    if plan.liquor_degC is not None:
        return True
    fit = [rest for rest in plan.rests if SETTLED.holds(rest.settled_degC)]
    return bool(fit) and plan.settled_mash_degC == _longest(fit)


def _longest(rests: list[Rest]) -> float:
    return max(rests, key=lambda rest: rest.minutes).settled_degC


def _words_of(plan: MashPlan, given: Mapping[str, Any], where: Address) -> list[Problem]:
    """An empty list of rests, and cereals that are none."""
    problems = []
    if given.get("rests") == []:
        way_out = "Write rests = [{settled_degC = 64, minutes = 60}], or take it out."
        problems.append(Problem(where.to("rests"), "is an empty list.", way_out))
    known = kept_raw()
    for name in plan.cooker.second_species if plan.cooker else ():
        if name not in known:
            place = where.to("cooker", "second_species")
            problems.append(Problem(place, f"{name!r} is no raw grain we know.", near_word(name, known)))
    return problems


def _by_liquor(plan: MashPlan, given: Mapping[str, Any], where: Address) -> tuple[MashPlan, list[Problem]]:
    excluded = _beside_liquor(plan)
    if excluded:
        return plan, [Problem(where.to("liquor_degC"), *excluded)]
    settled = settled_by_liquor_degC(plan)
    if settled is None or math.isnan(settled):
        return plan, []
    if not SETTLED.holds(settled):
        low, high = SETTLED.bounds
        what = f"liquor of {plan.liquor_degC:g} degC settles the mash at {settled:.1f} degC, outside {low:g}-{high:g}."
        return plan, [Problem(where.to("liquor_degC"), what, "Correct the liquor, its litres or grist_degC.")]
    faults = _stated_otherwise(plan, given, settled, where)
    first = tuple(replace(water, settled_degC=settled) for water in plan.waters[:1])
    return replace(plan, settled_mash_degC=settled, waters=first + plan.waters[1:]), faults


def _stated_otherwise(plan: MashPlan, given: Mapping[str, Any], settled: float, where: Address) -> list[Problem]:
    """A settled temperature beside the liquor it follows from; the same to a thermometer is no fault."""
    places = [(("settled_mash_degC",), given.get("settled_mash_degC"), plan.settled_mash_degC)]
    waters = given.get("waters")
    if plan.waters and isinstance(waters, list):
        stated = waters[0].get("settled_degC") if isinstance(waters[0], dict) else None
        places.append((("waters", 1, "settled_degC"), stated, plan.waters[0].settled_degC))  # type: ignore[arg-type]
    return [
        Problem(
            where.to(*path),
            f"{value:g} degC stands beside liquor_degC, which settles the mash at {settled:.1f} degC.",
            "Keep liquor_degC if the water is measured, settled_mash_degC if the mash is.",
        )
        for path, said, value in places
        if said is not None and abs(value - settled) > SAME_K
    ]


def _beside_liquor(plan: MashPlan) -> tuple[str, str] | None:
    """What stands against a liquor temperature, and the way out."""
    if plan.rests:
        return "stands beside rests; the first rest says where the mash settles.", "Take liquor_degC out."
    if plan.cook_degC is not None or plan.cooker is not None:
        what = "stands beside a cooker, whose slurry and malt have temperatures of their own."
        return what, "Give cooker.slurry_degC and settled_mash_degC, where the malt goes in, in its place."
    if not plan.waters and plan.liquor_L_per_kg is None:
        what = "needs the litres of that water before the mash can settle."
        return what, "Add liquor_L_per_kg, or waters.first with L_per_kg; or give settled_mash_degC."
    return None


def _by_rests(plan: MashPlan, given: Mapping[str, Any], where: Address) -> tuple[MashPlan, list[Problem]]:
    """Where nothing else is said, the boards go by the longest rest in which malt converts."""
    if any(math.isnan(rest.settled_degC) or math.isnan(rest.minutes) for rest in plan.rests):
        return plan, []
    fit = [rest for rest in plan.rests if SETTLED.holds(rest.settled_degC)]
    if not fit:
        low, high = SETTLED.bounds
        what = f"none lies in {low:g}-{high:g} degC, where malt converts."
        return plan, [Problem(where.to("rests"), what, "Add one there.")]
    if given.get("settled_mash_degC") is None:
        return replace(plan, settled_mash_degC=_longest(fit)), []
    if plan.settled_mash_degC not in [rest.settled_degC for rest in fit]:
        what = f"{plan.settled_mash_degC:g} degC is none of the rests."
        way_out = "Take it out, or name the rest that the mash is judged by."
        return plan, [Problem(where.to("settled_mash_degC"), what, way_out)]
    return plan, []
