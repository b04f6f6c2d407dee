"""Calls of what a wash makes besides alcohol, that give one number for one row of besides.csv. All at their middle."""

from __future__ import annotations

import numpy as np

from gristwright.numerics.draws import MEMBERS, SEED, middles, sample
from gristwright.records.wash_besides import WashConditions, mg_per_lpa
from gristwright.records.washbacks import Yeast
from gristwright.reference.load import priors
from gristwright.stages.wash.besides import besides

ONE = np.array([1.0])
HIGHER = ("propanol", "isobutanol", "methylbutanol_3", "methylbutanol_2")


def malt_wash(abv_pct: float = 8.0) -> WashConditions:
    """The middle of a usual malt wash, unboiled, of a distiller's yeast."""
    return WashConditions(abv_pct * ONE, 14.0 * ONE, 28.0 * ONE, 33.0 * ONE, 60.0, fan_mg_per_L=170.0 * ONE)


def beer(abv_pct: float, degP: float, degC: float, yeast: Yeast = "ale") -> WashConditions:
    """A beer: boiled wort, held at one temperature."""
    return WashConditions(
        abv_pct * ONE, degP * ONE, degC * ONE, degC * ONE, 168.0, yeast=yeast, boiled=True, fan_mg_per_L=170.0 * ONE
    )


def _of(wash: WashConditions, key: str) -> float:
    made = {one.key: one for one in besides(wash, middles(priors("wash_besides")))}
    values = made[key].values
    assert values is not None
    return float(values[0])


def _drawn(key: str) -> np.ndarray:
    """A thing in a usual malt wash of 8 %vol [mg to a litre of alcohol], over the draws."""
    draws = sample(priors("wash_besides"), MEMBERS, SEED)
    values = {one.key: one for one in besides(malt_wash(), draws)}[key].values
    assert values is not None
    return mg_per_lpa(values, 8.0 * ONE)


def reaches(key: str, mg_per_L: float, abv_pct: float) -> float:
    """A malt wash against the least that a spirit shows it held: 1 where its middle is no less, 0.5 its upper end."""
    least = 100.0 * mg_per_L / abv_pct
    middle, high = np.quantile(_drawn(key), [0.5, 0.95])
    return 1.0 if middle >= least else 0.5 if high >= least else 0.0


def amyl_ratio() -> float:
    """3-methylbutanol over 2-methylbutanol of a usual malt wash."""
    return _of(malt_wash(), "methylbutanol_3") / _of(malt_wash(), "methylbutanol_2")


def methanol_stays_below(mg_per_L: float) -> float:
    """1 when the upper end of methanol in a wash of 8 %vol is below it."""
    return float(np.quantile(_drawn("methanol"), 0.95) * 0.08 < mg_per_L)


def in_beer(key: str, abv_pct: float = 5.0, degP: float = 12.0, degC: float = 15.0, yeast: Yeast = "ale") -> float:
    """A thing in a beer [mg/L]."""
    return _of(beer(abv_pct, degP, degC, yeast), key)


def higher_alcohols_in_beer(abv_pct: float, degP: float, degC: float, yeast: Yeast) -> float:
    """Propanol, isobutanol and both amyl alcohols of a beer together [mg/L]."""
    return sum(in_beer(key, abv_pct, degP, degC, yeast) for key in HIGHER)


def warmth(key: str, cold_degC: float, warm_degC: float) -> float:
    """A thing in a warm beer over that in a cold one, all else alike."""
    return in_beer(key, degC=warm_degC) / in_beer(key, degC=cold_degC)
