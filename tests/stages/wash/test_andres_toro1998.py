"""The published beer model at 8 to 16 degC: regression of a ramp, members apart, and refused above."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.basics import Refused
from gristwright.stages.wash import andres_toro1998 as model
from gristwright.stages.wash.andres_toro1998 import AndresToroYeast, CoolingCorner

RAMP = [CoolingCorner(0.0, 11.0), CoolingCorner(24.0, 14.0), CoolingCorner(120.0, 14.0), CoolingCorner(145.0, 16.0)]


def problems(**changed: object) -> list[str]:
    given = {"sugar_g_per_L": 130.0, "degC": 13.0} | changed
    with pytest.raises(Refused) as found:
        model.ferment(**given)  # type: ignore[arg-type]
    return [f"{p.where}: {p.what} {p.way_out}" for p in found.value.problems]


def at_hour(course: model.AndresToroCourse, hour: float, what: str) -> float:
    return float(getattr(course, what)[int(np.flatnonzero(course.times_h == hour)[0]), 0])


@pytest.mark.parametrize(
    ("hour", "what", "expected"),
    [
        (24.0, "sugar_g_per_L", 117.12),
        (24.0, "ethanol_g_per_L", 12.03),
        (48.0, "active_yeast_g_per_L", 5.820),
        (48.0, "diacetyl", 1.3745),
        (48.0, "ethyl_acetate", 0.3817),
        (72.0, "sugar_g_per_L", 40.04),
        (96.0, "diacetyl", 0.3755),
        (120.0, "ethanol_g_per_L", 56.762),
        (120.0, "ethyl_acetate", 0.5744),
    ],
)
def test_one_temperature_regression(hour: float, what: str, expected: float) -> None:
    assert at_hour(model.ferment(130.0, 13.0, 120.0), hour, what) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("hour", "what", "expected"),
    [
        (72.0, "sugar_g_per_L", 43.94),
        (72.0, "ethanol_g_per_L", 51.48),
        (120.0, "sugar_g_per_L", 2.45),
        (120.0, "ethanol_g_per_L", 58.75),
        (168.0, "ethanol_g_per_L", 59.05),
        (168.0, "ethyl_acetate", 1.171),
    ],
)
def test_ramp_regression(hour: float, what: str, expected: float) -> None:
    assert at_hour(model.ferment(130.0, RAMP, 168.0), hour, what) == pytest.approx(expected, rel=1e-3)


def test_the_plan_is_followed_level_beyond_its_ends() -> None:
    course = model.ferment(130.0, RAMP[1:3], 168.0)
    assert np.all(course.degC == 14.0)
    ramp = model.ferment(130.0, RAMP, 168.0)
    assert at_hour(ramp, 12.0, "degC") == pytest.approx(12.5)
    assert at_hour(ramp, 168.0, "degC") == 16.0


def test_a_member_does_not_depend_on_its_neighbours() -> None:
    sugars, degrees = np.array([110.0, 130.0, 140.0]), np.array([9.0, 13.0, 16.0])
    many = model.ferment(sugars, degrees, 120.0, AndresToroYeast(np.array([1.0, 2.0, 3.0])))
    alone = model.ferment(130.0, 13.0, 120.0)
    assert many.ethanol_g_per_L[:, 1] == pytest.approx(alone.ethanol_g_per_L[:, 0], rel=1e-12)
    assert many.abv_pct.shape == many.degC.shape == (len(many.times_h), 3)


def test_half_the_step_moves_nothing() -> None:
    coarse, fine = (model.ferment(140.0, 16.0, 120.0, AndresToroYeast(5.0), step_h=step) for step in (0.25, 0.125))
    assert coarse.ethanol_g_per_L == pytest.approx(fine.ethanol_g_per_L, abs=0.01)
    assert np.all(coarse.sugar_g_per_L >= 0.0)


def test_esters_by_sugar_are_another_course_and_nothing_else_is() -> None:
    by_growth, by_sugar = (model.ferment(130.0, 13.0, esters_by_sugar=choice) for choice in (False, True))
    assert by_sugar.ethyl_acetate[-1, 0] > 2.0 * by_growth.ethyl_acetate[-1, 0]
    assert np.array_equal(by_sugar.ethanol_g_per_L, by_growth.ethanol_g_per_L)


@pytest.mark.parametrize("degC", [7.9, 16.1, 20.0, 30.0, float("nan")])
def test_a_distillers_temperature_is_refused_with_the_way_out(degC: float) -> None:
    (said,) = problems(degC=degC)
    assert "8-16 degC" in said and "or take living_wash" in said


@pytest.mark.parametrize(("degC", "hours", "step_h", "sugar"), [(20.0, 240.0, 0.25, 83.7), (30.0, 24.0, 0.02, 129.99)])
def test_unguarded_it_stops_dead_where_a_distiller_sets_his_wash(
    degC: float, hours: float, step_h: float, sugar: float
) -> None:
    course = model.course_of(130.0, AndresToroYeast(), [CoolingCorner(0.0, degC)], [0.0, hours], step_h)
    assert course.sugar_g_per_L[-1, 0] == pytest.approx(sugar, abs=0.05)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"sugar_g_per_L": 200.0}, "200 g/L is outside 60-160 g/L"),
        ({"sugar_g_per_L": float("nan")}, "is not a number"),
        ({"yeast": AndresToroYeast(0.5)}, "0.5 g/L that live is outside 1-8"),
        ({"yeast": AndresToroYeast(2.0, 0.0, -1.0)}, "-1 g/L is outside 0-8 g/L"),
        ({"hours": 300.0}, "300 h is outside 0-240 h"),
        ({"degC": []}, "no temperature is given"),
        ({"degC": [RAMP[1], RAMP[0]]}, "its hours do not rise: 24, 0"),
        ({"degC": [RAMP[0], CoolingCorner(48.0, 18.0)]}, "degC of corner 2: 18 degC is outside 8-16 degC"),
        ({"step_h": 0.0}, "0 h is outside 0.001-0.25 h"),
    ],
)
def test_what_it_was_not_made_for_is_refused(changed: dict[str, object], told: str) -> None:
    assert any(told in said for said in problems(**changed))


def test_all_faults_are_told_at_once() -> None:
    assert len(problems(degC=30.0, sugar_g_per_L=200.0, hours=1e3, yeast=AndresToroYeast(20.0))) == 5
