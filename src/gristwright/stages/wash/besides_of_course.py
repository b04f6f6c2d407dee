"""A simulated wash as what it made besides is read from. See docs/wash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray
from gristwright.records.wash import WashCourse, WashWort
from gristwright.records.wash_besides import WashConditions
from gristwright.records.washbacks import Yeast

NOTHING = 1e-12


def conditions_of(
    course: WashCourse,
    wort: WashWort,
    yeast: Yeast,
    *,
    boiled: bool = False,
    pitch_million_per_mL: FloatArray | None = None,
    barley_wheat_rye: float = 1.0,
    wheat_rye: float = 0.0,
    furfural_mg_per_L: FloatArray | None = None,
) -> WashConditions:
    """What a wash came to at the end of its course, of a kind of yeast and shares of the grist, 0 to 1.

    Furfural counts only where what the wort held is given.
    """
    end = course.end
    return WashConditions(
        abv_pct=course.abv_pct[-1],
        original_gravity_degP=wort.original_gravity_degP,
        main_degC=main_degC(course),
        peak_degC=end.peak_degC,
        hours=float(course.times_h[-1]),
        yeast=yeast,
        boiled=boiled,
        barley_wheat_rye=barley_wheat_rye,
        wheat_rye=wheat_rye,
        fan_mg_per_L=wort.fan_mg_per_L,
        fan_left_mg_per_L=end.fan_left_mg_per_L,
        pitch_million_per_mL=pitch_million_per_mL,
        lactic_g_per_L=end.lactic_g_per_L,
        pH=end.pH,
        glycerol_g_per_L=end.glycerol_g_per_L,
        furfural_mg_per_L=None if furfural_mg_per_L is None else furfural_mg_per_L * end.furfural_left,
    )


def main_degC(course: WashCourse) -> FloatArray:
    """Temperature of the main hours [degC], (members,): each hour counts by the gas that it gave off."""
    given = np.maximum(np.diff(course.co2_kg_per_m3, axis=0), 0.0) + NOTHING
    between = 0.5 * (course.degC[1:] + course.degC[:-1])
    return np.asarray(np.sum(between * given, axis=0) / np.sum(given, axis=0))
