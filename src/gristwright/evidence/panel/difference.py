"""What a difference test of a panel can and cannot show: "not different" is not "the same". See docs/ageing.md."""

from __future__ import annotations

from gristwright.basics import refuse_if_any
from gristwright.evidence.panel.limits import difference_problems


def least_correct(assessors: int, chance: float, alpha: float) -> int | None:
    """Fewest right answers that guessing reaches with probability `alpha` at most; None when no number does."""
    from scipy.special import bdtrc

    refuse_if_any(difference_problems(assessors, chance, alpha))
    return next((k for k in range(1, assessors + 1) if bdtrc(k - 1, assessors, chance) <= alpha), None)


def retained_share(assessors: int, chance: float, tellers: float, alpha: float) -> float:
    """Probability that the test finds no difference although a share `tellers` of the people truly tell it."""
    from scipy.special import bdtr

    refuse_if_any(difference_problems(assessors, chance, tellers))
    least = least_correct(assessors, chance, alpha)
    right = chance + tellers * (1.0 - chance)
    return 1.0 if least is None else float(bdtr(least - 1, assessors, right))


def most_correct(assessors: int, chance: float, most_tellers: float, alpha: float) -> int | None:
    """Most right answers with which fewer than `most_tellers` may be said to tell a difference; None when none does."""
    from scipy.special import bdtr

    refuse_if_any(difference_problems(assessors, chance, most_tellers))
    right = chance + most_tellers * (1.0 - chance)
    fits = [k for k in range(assessors + 1) if bdtr(k, assessors, right) <= alpha]
    return fits[-1] if fits else None


def assessors_needed(chance: float, tellers: float, alpha: float, power: float, most: int = 2000) -> int | None:
    """The fewest answers with which the test finds a difference in a share `power` of trials; None up to `most`.

    The first number that reaches it: an exact test may fall short again at the next.
    """
    return next((n for n in range(3, most + 1) if 1.0 - retained_share(n, chance, tellers, alpha) >= power), None)
