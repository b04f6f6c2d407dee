"""A simulated wash as what it made besides is read from: its end, and the temperature of its main hours."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from gristwright.basics import FloatArray
from gristwright.numerics.draws import middles
from gristwright.records.wash import WashCourse, WashEnd, WashWort
from gristwright.reference import priors
from gristwright.stages.wash.besides import besides
from gristwright.stages.wash.besides_of_course import conditions_of, main_degC

ONE = np.ones(1)
SAID = {"peak_degC": 33.0, "lactic_g_per_L": 0.8, "pH": 4.0, "glycerol_g_per_L": 4.5, "fan_left_mg_per_L": 40.0}
NO_YES = np.array([False])


def of(kind: type[WashEnd] | type[WashWort], **said: float) -> dict[str, FloatArray]:
    return {one.name: said.get(one.name, 0.0) * ONE for one in fields(kind)}


END = WashEnd(**of(WashEnd, **SAID) | {"stuck": NO_YES})  # type: ignore[arg-type]
WORT = WashWort(**of(WashWort, original_gravity_degP=14.0, fan_mg_per_L=170.0))


def course() -> WashCourse:
    """Three readings: 10 of gas while it goes from 20 to 30 degC, 30 at 30, none while it cools."""
    columns = {one.name: np.zeros((4, 1)) for one in fields(WashCourse)}
    return WashCourse(**columns | {
        "times_h": np.array([0.0, 20.0, 40.0, 60.0]), "degC": np.array([[20.0], [30.0], [30.0], [10.0]]),
        "abv_pct": np.array([[0.0], [2.0], [8.0], [8.0]]), "co2_kg_per_m3": np.array([[0.0], [10.0], [40.0], [40.0]]),
        "end": END, "balance_error": 0.0, "heat_error": 0.0, "warnings": (),
    })  # type: ignore[arg-type]  # fmt: skip


def test_an_hour_counts_by_the_gas_it_gave_off() -> None:
    """By hand: (25 x 10 + 30 x 30) / 40 = 28.75."""
    assert main_degC(course())[0] == pytest.approx(28.75)


def test_a_wash_that_made_no_gas_has_the_mean_of_its_hours() -> None:
    dead = replace(course(), co2_kg_per_m3=np.zeros((4, 1)))
    assert main_degC(dead)[0] == pytest.approx((25.0 + 30.0 + 20.0) / 3.0)


def test_the_end_of_a_course_is_what_is_read() -> None:
    found = conditions_of(course(), WORT, "clove ale", wheat_rye=0.4)
    assert (found.abv_pct[0], found.hours, found.peak_degC[0]) == (8.0, 60.0, 33.0)
    assert found.furfural_mg_per_L is None
    made = {one.key: one.values for one in besides(found, middles(priors("wash_besides")))}
    assert made["lactic_acid"] == pytest.approx(800.0) and made["glycerol"] == pytest.approx(4500.0)
    assert made["furfural"] is None and made["vinylguaiacol"] is not None


def test_furfural_that_the_wort_held_is_told_when_it_is_gone() -> None:
    held = conditions_of(course(), WORT, "", furfural_mg_per_L=0.5 * ONE)
    assert held.furfural_mg_per_L is not None
    assert held.furfural_mg_per_L[0] == 0.5 * course().end.furfural_left[0]
