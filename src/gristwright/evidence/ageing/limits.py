"""What a ladder must hold before anything is read on it, and how confident an answer may be asked."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.basics import Problem, Where, at
from gristwright.records.ageing import AgeClaim

LEAST_AGES, LEAST_CASKS = 3, 5


def ladder_problems(where: Where, ages: Sequence[float]) -> list[Problem]:
    """A ladder of one age says nothing of time; `ages` [years] of its casks."""
    if len(set(ages)) >= 2:
        return []
    problems = f"all its casks are {ages[0]:g} years old" if ages else "it holds no cask that can be used"
    way_out = f"Add reference casks of other ages: at least {LEAST_AGES} ages, {LEAST_CASKS} casks."
    return [Problem(where, f"{problems}, and one age is no ladder.", way_out)]


def confidence_problems(confidence: float) -> list[Problem]:
    """The confidence of an interval, as a share."""
    if 0.5 < confidence < 1.0:
        return []
    return [Problem("confidence", f"{confidence:g} is not between 0.5 and 1.", "Use 0.95 unless told otherwise.")]


def too_short(ages: Sequence[float]) -> str:
    """Why comparable casks make no ladder, or nothing."""
    rungs = sorted(set(ages))
    if len(rungs) >= LEAST_AGES and len(ages) >= LEAST_CASKS:
        return ""
    covered = ", ".join(f"{age:g}" for age in rungs) or "no"
    return (
        f"{len(ages)} comparable reference casks of {covered} years are no ladder; "
        f"it takes {LEAST_AGES} ages and {LEAST_CASKS} casks"
    )


def claim_problems(one: AgeClaim, ladder: Sequence[float], arms: Sequence[float]) -> list[Problem]:
    """A claim that is none, that no arm can answer, or that lies beyond the ladder; ages [years]."""
    where = at("claims", f"{one.years:g}:{one.low:g}-{one.high:g}")
    if not 0.0 < one.years <= one.low <= one.high:
        way_out = "Write true age, colon, ages it is to read like, such as 3:6-8."
        return [Problem(where, "is no claim of greater age.", way_out)]
    problems = []
    if all(abs(one.years - age) >= 0.05 for age in arms):
        problems.append(Problem(where, "no arm has this true age.", f"Ages of the arms: {_listed(arms)}.", True))
    if ladder and not min(ladder) <= one.low <= max(ladder):
        what = f"lies outside the ladder, {min(ladder):g} to {max(ladder):g} years."
        problems.append(Problem(where, what, "It may be refuted, not supported; add references of that age.", True))
    return problems


def claims_of_one_age(claims: Sequence[AgeClaim]) -> list[Problem]:
    """One claim is judged for each true age; the others are named."""
    first: dict[float, AgeClaim] = {}
    problems = []
    for one in claims:
        if one != first.setdefault(one.years, one):
            where = at("claims", f"{one.years:g}:{one.low:g}-{one.high:g}")
            what = f"is the second of {one.years:g} years."
            problems.append(Problem(where, what, "The first is judged; ask the other in a run of its own.", True))
    return problems


def _listed(ages: Sequence[float]) -> str:
    return ", ".join(f"{age:g}" for age in sorted(set(ages)))
