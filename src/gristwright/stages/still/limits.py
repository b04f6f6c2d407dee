"""What the stills cannot do, and what a stillman would look at twice. See docs/still.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import BoolArray, FloatArray, Problem, at
from gristwright.records.plant import PotStills
from gristwright.records.streams import NewSpirit, Wash
from gristwright.stages.still import rayleigh

STILLS = at("plant", "pot_stills")
# Common practice, no source, all of them but the wash range, which is where the balance was looked at.
LEAST_WASH_ABV_PCT, MOST_WASH_ABV_PCT = 4.0, 13.0
LEAST_LOW_WINES_ABV_PCT, MOST_LOW_WINES_ABV_PCT = 18.0, 30.0
WATCH_CHARGE_ABV_PCT, STRONG_CHARGE_ABV_PCT = 28.0, 30.0
LEAST_HEART_ABV_PCT, MOST_HEART_ABV_PCT = 55.0, 80.0
# Ethanol and water boil together at about 97.2 %vol: no still of this kind goes beyond.
AZEOTROPE_ABV_PCT = 97.2
REFLUX_SEEN = (0.0, 0.4)
LOW_WINES_ROUNDING_ABV_PCT = 0.5


def check(wash: Wash, stills: PotStills) -> list[Problem]:
    """Faults and warnings of a wash and of the stills as stated, all at once."""
    return [*check_stills(stills), *check_wash(wash), *_check_together(wash, stills)]


def check_stills(stills: PotStills) -> list[Problem]:
    """Faults and warnings of the stills alone."""
    return [*_volumes(stills), *_order(stills), *_low_wines(stills), *_heart(stills), *_charge(stills.charge_abv_pct)]


def check_wash(wash: Wash) -> list[Problem]:
    """A fault when the middle wash lies outside the range of the balance, a warning when some members do."""
    limits = f"the still's balance was made for {LEAST_WASH_ABV_PCT:g} to {MOST_WASH_ABV_PCT:g} %vol."
    way_out = "Change the grist or the water per tonne, or do not use this balance."
    middle = _middle(wash.abv_pct)
    if not LEAST_WASH_ABV_PCT <= middle <= MOST_WASH_ABV_PCT:
        return [Problem("wash strength", f"{middle:.1f} %vol; {limits}", way_out)]
    share = _share((wash.abv_pct < LEAST_WASH_ABV_PCT) | (wash.abv_pct > MOST_WASH_ABV_PCT), wash.abv_pct)
    if share > 0.05:
        what = f"{middle:.1f} %vol in the middle, but {100 * share:.0f} % of the draws lie outside; {limits}"
        return [Problem("wash strength", what, way_out, warning=True)]
    return []


def check_spirit(spirit: NewSpirit) -> list[Problem]:
    """Warnings of a run: the charge this wash leads to."""
    return _charge(_middle(spirit.charge_abv_pct))


def _volumes(stills: PotStills) -> list[Problem]:
    stated = {"wash_charge_L": stills.wash_charge_L, "spirit_charge_L": stills.spirit_charge_L}
    return [
        Problem(STILLS.to(field), f"{litres:g} L is not a charge.", "Give the working volume in litres.")
        for field, litres in stated.items()
        if not litres > 0.0
    ]


def _order(stills: PotStills) -> list[Problem]:
    problems = []
    if not stills.heart_abv_pct > stills.charge_abv_pct:
        what = f"{stills.heart_abv_pct:g} %vol is no stronger than the charge at {stills.charge_abv_pct:g} %vol."
        problems.append(
            Problem(STILLS.to("heart_abv_pct"), what, "Check both; the heart leaves stronger than the charge.")
        )
    if not stills.heart_abv_pct > stills.low_wines_abv_pct:
        what = f"{stills.heart_abv_pct:g} %vol is no stronger than the low wines at {stills.low_wines_abv_pct:g} %vol."
        problems.append(Problem(STILLS.to("heart_abv_pct"), what, "Check both figures."))
    end = stills.hearts_end_abv_pct
    if end is not None and not end < stills.heart_abv_pct:
        what = f"{end:g} %vol is no weaker than the heart together, {stills.heart_abv_pct:g} %vol."
        problems.append(Problem(STILLS.to("hearts_end_abv_pct"), what, "Give the strength at which feints begin."))
    if not stills.heart_abv_pct < AZEOTROPE_ABV_PCT:
        what = f"{stills.heart_abv_pct:g} %vol; ethanol and water part no further than {AZEOTROPE_ABV_PCT:g} %vol."
        problems.append(Problem(STILLS.to("heart_abv_pct"), what, "Give %vol at 20 degC, not proof."))
    return problems


def _low_wines(stills: PotStills) -> list[Problem]:
    low_wines = stills.low_wines_abv_pct
    if LEAST_LOW_WINES_ABV_PCT <= low_wines <= MOST_LOW_WINES_ABV_PCT:
        return []
    limits = f"{LEAST_LOW_WINES_ABV_PCT:g} to {MOST_LOW_WINES_ABV_PCT:g} %vol"
    what = f"{low_wines:g} %vol lies outside the usual {limits}."
    return [Problem(STILLS.to("low_wines_abv_pct"), what, "Check the reading and its temperature.", warning=True)]


def _heart(stills: PotStills) -> list[Problem]:
    heart = stills.heart_abv_pct
    if LEAST_HEART_ABV_PCT <= heart <= MOST_HEART_ABV_PCT or heart >= AZEOTROPE_ABV_PCT:
        return []
    what = f"{heart:g} %vol lies outside the usual {LEAST_HEART_ABV_PCT:g} to {MOST_HEART_ABV_PCT:g} %vol of two pots."
    return [Problem(STILLS.to("heart_abv_pct"), what, "Check the cuts.", warning=True)]


def _charge(abv_pct: float) -> list[Problem]:
    if not abv_pct > WATCH_CHARGE_ABV_PCT:
        return []
    way_out = "Break it down with water, or hold back the strong feints."
    if abv_pct > STRONG_CHARGE_ABV_PCT:
        what = (
            f"{abv_pct:.1f} %vol is well above {STRONG_CHARGE_ABV_PCT:g} %vol: "
            "the cuts part poorly, and heavy esters and fusel oils run into the heart."
        )
        return [Problem(STILLS.to("charge_abv_pct"), what, way_out, warning=True)]
    what = f"{abv_pct:.1f} %vol is above {WATCH_CHARGE_ABV_PCT:g} %vol, where the cuts begin to part less well."
    return [Problem(STILLS.to("charge_abv_pct"), what, way_out, warning=True)]


def _check_together(wash: Wash, stills: PotStills) -> list[Problem]:
    middle, stated = _middle(wash.abv_pct), stills.low_wines_abv_pct
    if not stated > middle:
        what = f"{stated:g} %vol is no stronger than the wash at {middle:.1f} %vol."
        return [Problem(STILLS.to("low_wines_abv_pct"), what, "Check both figures; the wash still makes it stronger.")]
    low, high = rayleigh.low_wines_abv_pct(np.full(2, middle), np.array(REFLUX_SEEN))
    if low - LOW_WINES_ROUNDING_ABV_PCT <= stated <= high + LOW_WINES_ROUNDING_ABV_PCT:
        return []
    what = f"{stated:g} %vol; a wash of {middle:.1f} %vol run to 1 %vol gives about {low:.0f} to {high:.0f} %vol."
    return [Problem(STILLS.to("low_wines_abv_pct"), what, "State the low wines this wash gives.", warning=True)]


def _middle(values: FloatArray) -> float:
    finite = values[np.isfinite(values)]
    return float(np.median(finite)) if finite.size else float("nan")


def _share(marked: BoolArray, values: FloatArray) -> float:
    return float(np.sum(marked) / max(1, np.isfinite(values).sum()))
