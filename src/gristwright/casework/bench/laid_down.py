"""A cask plan as one filled cask, and what is said where the forecast does not follow all of it. See docs/law.md."""

from __future__ import annotations

from dataclasses import replace

from gristwright.basics import Problem, at
from gristwright.records.cask import CaskFill
from gristwright.records.enquiry import CaskPlan
from gristwright.stages.cask import limits

INSIDE = "Gauge it, or plan with a cask and a strength inside that range."
JUDGED_ALONE = "So nothing is forecast of the cask and the bottle; the law is judged all the same."


def fill_of(plan: CaskPlan) -> CaskFill:
    """The first cask of a plan as one filled cask."""
    return CaskFill(plan.kind, plan.entry_abv_pct, plan.kind.capacity_L, round(plan.years * 12), plan.first_month)


def laid_down_problems(plan: CaskPlan) -> list[Problem]:
    """Faults and warnings of a plan: what lies outside the cask's model and stays behind the first cask only warn."""
    fill = fill_of(plan)
    outside = limits.outside_model(fill)
    left = [problem for problem in limits.cask_problems(fill, plan.climate) if problem not in outside]
    beyond = [replace(p, what=f"{p.what} {JUDGED_ALONE}", way_out=INSIDE, warning=True) for p in outside]
    return [*left, *beyond, *_stays(plan)]


def _stays(plan: CaskPlan) -> list[Problem]:
    """What is said of casks and vats behind the first."""
    if not plan.stays:
        return []
    behind = ", then ".join(f"{_years(stay.years)} in {stay.wood}" for stay in plan.stays)
    what = (
        f"the forecast follows the first cask for its {_years(plan.years)}; {behind} behind it count for the law and "
        "are not simulated: no loss, no change of strength and no cost of them is reckoned."
    )
    return [Problem(at("cask", "stays"), what, "Gauge the spirit when it is moved.", warning=True)]


def _years(years: float) -> str:
    return f"{years:g} year{'' if years == 1.0 else 's'}"
