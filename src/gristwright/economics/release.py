"""Cost of matured spirit at release, and how many years a dearer bill would have to save. See docs/give_and_gain.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray, Problem

# A dearer bill is not followed beyond so many years.
MOST_YEARS = 60.0


def cost_at_release_per_lpa(
    new_spirit_cost: FloatArray, rent_per_year: FloatArray, years: FloatArray, interest: float, loss: FloatArray
) -> FloatArray:
    """Cost of a litre of pure alcohol left after `years` [money/LPA]; shapes broadcast.

    C_n = [C_0 (1+r)^n + rent ((1+r)^n - 1)/r] / (1-l)^n: new spirit with its cask and the rent [money a year for an LPA
    filled], both with interest, over what evaporation leaves; `loss` is the share of alcohol lost a year.
    """
    growth = (1.0 + interest) ** np.asarray(years)
    paid = (growth - 1.0) / interest if interest > 0.0 else np.asarray(years, dtype=np.float64)
    return np.asarray((new_spirit_cost * growth + rent_per_year * paid) / (1.0 - loss) ** np.asarray(years))


def cost_per_bottled_litre(cost_per_lpa: FloatArray, abv_pct: float, bottling_loss: FloatArray) -> FloatArray:
    """Cost of the spirit in a litre as bottled [money/L]; `bottling_loss` is the share lost in bottling."""
    return np.asarray(cost_per_lpa * abv_pct / 100.0 / (1.0 - bottling_loss))


def cask_cost_per_lpa(price: float, fills: float, fill_L: float, entry_abv_pct: float) -> float:
    """A cask's price over the litres of pure alcohol of all its fills [money/LPA]."""
    return price / (fills * fill_L * entry_abv_pct / 100.0)


def years_to_save(
    dear: FloatArray, plain: FloatArray, rent: FloatArray, years: float, interest: float, loss: FloatArray
) -> FloatArray:
    """How many years older plain spirit must lie to cost what the dearer one costs at `years` [years]; (members,).

    The dearer bill pays only if its spirit truly stands in for plain spirit so much older. Negative when it is cheaper;
    infinite when plain spirit never costs as much.
    """
    target = cost_at_release_per_lpa(dear, rent, np.asarray(years), interest, loss)
    low, high = np.full_like(target, -years), np.full_like(target, MOST_YEARS)
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = cost_at_release_per_lpa(plain, rent, years + middle, interest, loss) < target
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.where(high >= MOST_YEARS - 1e-6, np.inf, 0.5 * (low + high))


def limits(years: float, interest: float, loss_low: float, abv_pct: float, **prices: float) -> list[Problem]:
    """Every fault of the user's own figures; interest and loss are shares a year."""
    found = [
        Problem(name.replace("_", " "), f"{value:g} is below nothing.", "Give the price as a positive number.")
        for name, value in prices.items()
        if not value >= 0.0
    ]
    if not 0.0 <= interest < 1.0:
        found.append(Problem("interest", f"{interest:g} is no share a year.", "Write 0.06 for 6 % a year."))
    if not 0.0 <= loss_low < 0.5:
        found.append(Problem("loss", f"{loss_low:g} is no share a year.", "Write 0.02 for 2 % a year."))
    if not 0.0 < years <= MOST_YEARS:
        found.append(Problem("years", f"{years:g} is outside 0 to {MOST_YEARS:g}.", "Give the years in wood."))
    if not 37.0 <= abv_pct <= 80.0:
        found.append(Problem("bottle", f"{abv_pct:g} %vol is outside 37 to 80.", "Give the strength as bottled."))
    return found
