"""How many assessors make a panel, and what a difference test may be asked."""

from __future__ import annotations

from gristwright.basics import Problem

LEAST_ASSESSORS = 3


def difference_problems(assessors: int, chance: float, share: float) -> list[Problem]:
    """Answers of a difference test, the chance of guessing right, and a share of people or of tests."""
    problems = []
    if assessors < 1:
        problems.append(Problem("assessors", f"{assessors} is none.", "Give how many answers there are."))
    for where, value, inside in (("chance", chance, 0.0 < chance < 1.0), ("share", share, 0.0 <= share <= 1.0)):
        if not inside:
            problems.append(
                Problem(where, f"{value:g} is outside 0 to 1.", "Give chance (1/3 for a triangle) and shares.")
            )
    return problems
