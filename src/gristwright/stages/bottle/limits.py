"""What bottling refuses. See docs/bottle.md."""

from __future__ import annotations

import math

import numpy as np

from gristwright.basics import FloatArray, Problem, at
from gristwright.records.enquiry import CaskPlan
from gristwright.records.fields import number_of

# Whisky is bottled at 40 %vol or more: Regulation (EU) 2019/787, Annex I category 2(c); 27 CFR 5.143.
LAW_ABV_PCT = 40.0
LOW_ABV_PCT, HIGH_ABV_PCT = number_of(CaskPlan, "bottle_abv_pct").bounds
LOW_BOTTLE_L, HIGH_BOTTLE_L = number_of(CaskPlan, "bottle_L").bounds


def share_below(cask_abv_pct: FloatArray, bottle_abv_pct: float) -> float:
    """Share of members [0..1] whose cask lies below the bottle's strength; cask_abv_pct of shape (members,)."""
    return float(np.mean(cask_abv_pct < bottle_abv_pct))


def bottle_problems(cask_abv_pct: FloatArray, bottle_abv_pct: float, bottle_L: float) -> list[Problem]:
    """Every fault and warning of a bottling."""
    return [*of_bottle(bottle_abv_pct, bottle_L), *of_cask(cask_abv_pct, bottle_abv_pct)]


def of_bottle(bottle_abv_pct: float, bottle_L: float) -> list[Problem]:
    """Strength and size of the bottle."""
    problems = []
    if not (math.isfinite(bottle_abv_pct) and LOW_ABV_PCT <= bottle_abv_pct <= HIGH_ABV_PCT):
        what = f"strength {bottle_abv_pct:g} %vol is outside {LOW_ABV_PCT:g} to {HIGH_ABV_PCT:g} %vol."
        problems.append(
            Problem(at("cask", "bottle_abv_pct"), what, "Give the strength on the label in %vol at 20 degC.")
        )
    elif bottle_abv_pct < LAW_ABV_PCT:
        what = f"strength {bottle_abv_pct:g} %vol is below {LAW_ABV_PCT:g} %vol, the floor for whisky in most laws."
        problems.append(
            Problem(
                at("cask", "bottle_abv_pct"), what, "Raise the strength or sell it under another name.", warning=True
            )
        )
    if not (math.isfinite(bottle_L) and LOW_BOTTLE_L <= bottle_L <= HIGH_BOTTLE_L):
        what = f"{bottle_L:g} L is outside {LOW_BOTTLE_L:g} to {HIGH_BOTTLE_L:g} L."
        problems.append(
            Problem(at("cask", "bottle_L"), what, "Give the content of one bottle in litres: 0.7 for 70 cL.")
        )
    return problems


def of_cask(cask_abv_pct: FloatArray, bottle_abv_pct: float) -> list[Problem]:
    """Water only lowers strength: a cask under the bottle's strength cannot be bottled at it."""
    share = share_below(cask_abv_pct, bottle_abv_pct)
    if share == 0.0:
        return []
    way_out = "Shorten the time in wood, fill stronger, choose a drier store or a lower bottle strength."
    if not np.any(cask_abv_pct >= bottle_abv_pct):
        most = float(np.nanmax(cask_abv_pct))
        what = f"cask strength {most:.1f} %vol at most is below the bottle's {bottle_abv_pct:g} %vol."
        return [Problem(at("cask"), what, way_out)]
    what = f"in {100.0 * share:.1f} % of the members the cask lies below the bottle's {bottle_abv_pct:g} %vol."
    return [Problem(at("cask"), what, f"Those members are left out. {way_out}", warning=True)]
