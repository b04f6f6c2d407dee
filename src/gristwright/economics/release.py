"""Cost of matured spirit at release, and how many years a dearer bill would have to save. See docs/give_and_gain.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray, Problem, at
from gristwright.records.give_gain import ReleasePrices

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


def parts_of_a_bottled_litre(
    paid_per_lpa: dict[str, float],
    rent_per_year: float,
    years: float,
    interest: float,
    loss: float,
    abv_pct: float,
    bottling_loss: float,
) -> dict[str, float]:
    """What a litre as bottled is made of [money/L]: what was paid at filling, rent, interest, loss; they add up.

    `paid_per_lpa` names what a litre of pure alcohol filled has cost [money/LPA]. Interest is what the money tied up in
    all of it costs; loss what has to be paid for the litres that never reach a bottle.
    """
    per_litre = abv_pct / 100.0
    parts = {name: paid * per_litre for name, paid in paid_per_lpa.items()}
    parts["rent"] = rent_per_year * years * per_litre
    without = sum(parts.values())
    filled, nothing = np.asarray(sum(paid_per_lpa.values())), np.zeros(())
    grown = float(cost_at_release_per_lpa(filled, np.asarray(rent_per_year), np.asarray(years), interest, nothing))
    parts["interest"] = grown * per_litre - without
    parts["evaporation and bottling"] = (
        grown * per_litre * (1.0 / ((1.0 - loss) ** years * (1.0 - bottling_loss)) - 1.0)
    )
    return parts


def years_to_save(
    dear: FloatArray, plain: FloatArray, rent: FloatArray, years: float, interest: float, loss: FloatArray
) -> FloatArray:
    """How many years older plain spirit must lie to cost what the dearer one costs at `years` [years]; (members,).

    The dearer bill pays only if its spirit truly stands in for plain spirit so much older. Negative when it is cheaper,
    never below -years; infinite when plain spirit does not cost as much within MOST_YEARS more.
    """
    target = cost_at_release_per_lpa(dear, rent, np.asarray(years), interest, loss)
    low, high = np.full_like(target, -years), np.full_like(target, MOST_YEARS)
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = cost_at_release_per_lpa(plain, rent, years + middle, interest, loss) < target
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.where(high >= MOST_YEARS - 1e-6, np.inf, 0.5 * (low + high))


def evaporation_problems(prices: ReleasePrices) -> list[Problem]:
    """Both ends of the evaporation or neither, the low one first."""
    low, high = prices.evaporation_low_pct_per_year, prices.evaporation_high_pct_per_year
    if (low is None) != (high is None):
        end = "high" if high is None else "low"
        where = at("release", f"evaporation_{end}_pct_per_year")
        return [Problem(where, "is missing.", "Give low and high, or neither: then it is as the cask is forecast.")]
    if low is not None and high is not None and low > high:
        what = f"{low:g} % a year is above the high, {high:g}."
        return [Problem(at("release", "evaporation_low_pct_per_year"), what, "Exchange them.")]
    return []


def limits(years: float, interest: float, abv_pct: float, **prices: float) -> list[Problem]:
    """Every fault of the user's own figures; interest is a share a year."""
    problems = [
        Problem(name.replace("_", " "), f"{value:g} is below nothing.", "Give the price as a positive number.")
        for name, value in prices.items()
        if not value >= 0.0
    ]
    if not 0.0 <= interest < 1.0:
        problems.append(
            Problem("interest", f"{100.0 * interest:g} % a year is outside 0 to 100.", "Write 6 for 6 % a year.")
        )
    if not 0.0 < years <= MOST_YEARS:
        problems.append(Problem("years", f"{years:g} is outside 0 to {MOST_YEARS:g}.", "Give the years in wood."))
    if not 37.0 <= abv_pct <= 80.0:
        problems.append(Problem("bottle", f"{abv_pct:g} %vol is outside 37 to 80.", "Give the strength as bottled."))
    return problems
