"""A plain malt wort and washbacks for tests of the simulated wash: inputs, never a test's truth."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.numerics.draws import middles, sample
from gristwright.quantities.gravity import sg_from_degP
from gristwright.records.wash import WashCourse, WashWort
from gristwright.records.washbacks import Washbacks
from gristwright.reference.load import priors
from gristwright.stages.wash.living_wash import fermentable_g_per_L, promised_g_per_L
from gristwright.stages.wash.setting import pitched, vessel
from gristwright.stages.wash.simulation import ferment

OF_SUGAR = {
    "glucose_g_per_L": 0.14,
    "maltose_g_per_L": 0.44,
    "maltotriose_g_per_L": 0.125,
    "chains_g_per_L": 0.05,
    "limit_dextrin_g_per_L": 0.115,
    "open_starch_g_per_L": 0.0,
}
# 14 degP in 30 m3, room 18 degC, between wood and steel, not cooled.
USUAL = Washbacks(6, 35_300.0, 72.0, 20.0, "none", room_degC=18.0)
FILLED_L = 30_000.0


def reference() -> Draws:
    """Every prior of the wash at its middle."""
    return middles(priors("wash"))


def drawn(members: int) -> Draws:
    """Every prior of the wash drawn."""
    return sample(priors("wash"), members)


def wort(
    degP: float = 14.0, fermentable: float = 0.87, shares: dict[str, float] | None = None, **said: Any
) -> WashWort:
    """A malt wort of so many degrees, of which so much ferments unboiled in 72 h; one member."""
    grams = 10.0 * degP * float(sg_from_degP(degP)) * 0.9982
    held = {name: one(share * grams) for name, share in (OF_SUGAR | (shares or {})).items()}
    raw = WashWort(
        original_gravity_degP=one(degP), alpha_exponent=one(6.0), dextrinase_exponent=one(0.9),
        fan_mg_per_L=one(170.0 * degP / 14.0), pH=one(5.2), bacteria_log10_per_mL=one(3.85), **held,
    )  # fmt: skip
    raw = replace(raw, **{name: one(value) for name, value in said.items()})
    wanted = 0.4783 * fermentable * grams / promised_g_per_L(fermentable_g_per_L(raw, 72.0))
    return replace(raw, **{name: wanted * getattr(raw, name) for name in OF_SUGAR})


def one(value: float) -> FloatArray:
    """One member."""
    return np.array([float(value)])


def wash(
    of: WashWort | None = None,
    backs: Washbacks = USUAL,
    draws: Draws | None = None,
    filled_L: float | None = None,
    brews: bool = False,
    step_h: float = 1.0,
) -> WashCourse:
    """A wort in a washback of a house, filled to 85 % where nothing else is said."""
    draws = draws or reference()
    litres = 0.85 * backs.volume_L if filled_L is None else filled_L
    return ferment(of or wort(), pitched(backs, draws, brews), vessel(backs, litres, draws, brews), draws, step_h)


def fermented_pct(course: WashCourse, hour: float) -> float:
    """Alcohol at an hour in per cent of that at the end."""
    return float(100.0 * np.interp(hour, course.times_h, course.abv_pct[:, 0]) / course.abv_pct[-1, 0])


def ends(course: WashCourse) -> dict[str, float]:
    """What one member has come to."""
    return {field.name: float(getattr(course.end, field.name)[0]) for field in fields(course.end)}
