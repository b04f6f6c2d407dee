"""The published lager model: its course in order, members apart, steps small enough, and refused elsewhere."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.basics import Refused
from gristwright.stages.wash import gee_ramirez1994 as model
from outside.adapters_wash import by_temperature_hours, lager_g_per_L

SUGARS = lager_g_per_L()


def problems(**changed: object) -> list[str]:
    given = {"sugars_g_per_L": SUGARS, "degC": 10.5} | changed
    with pytest.raises(Refused) as found:
        model.ferment(**given)  # type: ignore[arg-type]
    return [f"{p.where}: {p.what} {p.way_out}" for p in found.value.problems]


def test_sugars_go_in_order_and_yeast_and_alcohol_only_rise() -> None:
    course = model.ferment(SUGARS, record_h=12.0)
    gone = [
        np.interp(0.5, 1.0 - x[:, 0] / x[0, 0], course.times_h)
        for x in (course.glucose_g_per_L, course.maltose_g_per_L, course.maltotriose_g_per_L)
    ]
    assert gone == sorted(gone) and gone[0] < 24.0 < gone[1] < 96.0 < gone[2]
    for rising in (course.yeast_g_per_L, course.ethanol_g_per_L, course.co2_g_per_L, course.heat_MJ_per_m3):
        assert np.all(np.diff(rising[:, 0]) >= 0.0)
    assert course.abv_pct[-1, 0] == pytest.approx(7.05, abs=0.01)


def test_it_makes_96_percent_of_theory_and_so_no_distillers_yield() -> None:
    course = model.ferment(SUGARS)
    hexose = sum(units * grams / mass for units, grams, (_, mass) in zip((1, 2, 3), SUGARS, model.SUGARS, strict=True))
    assert course.ethanol_g_per_L[-1, 0] / (2.0 * model.ETHANOL * hexose) == pytest.approx(0.96, abs=0.002)


def test_diketones_and_acetaldehyde_rise_and_are_taken_back() -> None:
    flavours = model.ferment(SUGARS, record_h=12.0).flavours_mg_per_L
    for name in ("diketones", "acetaldehyde"):
        assert flavours[name].max() > 1.05 * flavours[name][-1, 0]
    assert set(flavours) == set(model.FLAVOURS)


def test_a_member_does_not_depend_on_its_neighbours() -> None:
    many = model.ferment(SUGARS[:, None] * np.array([1.0, 0.8, 1.1]), np.array([3.075, 2.0, 4.0]))
    alone = model.ferment(SUGARS * 0.8, 2.0)
    assert many.ethanol_g_per_L[:, 1] == pytest.approx(alone.ethanol_g_per_L[:, 0], rel=1e-12)
    assert many.ethanol_g_per_L.shape == (len(many.times_h), 3)


def test_half_the_step_moves_nothing() -> None:
    coarse, fine = model.ferment(SUGARS), model.ferment(SUGARS, step_h=0.125)
    assert coarse.ethanol_g_per_L == pytest.approx(fine.ethanol_g_per_L, abs=2e-4)
    assert coarse.flavours_mg_per_L["isoamyl_acetate"] == pytest.approx(
        fine.flavours_mg_per_L["isoamyl_acetate"], abs=1e-4
    )


@pytest.mark.parametrize("degC", [10.4, 11.0, 20.0, 30.0, float("nan")])
def test_any_other_temperature_is_refused_with_the_way_out(degC: float) -> None:
    (said,) = problems(degC=degC)
    assert "10.5 degC, the one temperature" in said and "or take living_wash" in said
    if degC == degC:
        assert f"{degC:g} degC is not" in said


def test_one_member_too_warm_is_enough() -> None:
    assert "12 degC" in problems(degC=np.array([10.5, 12.0]))[0]


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"yeast": "ale"}, "ale yeast is not what gee_ramirez1994 was measured on"),
        ({"sugars_g_per_L": SUGARS * 1.5}, "g/L is outside 60-140 g/L"),
        ({"sugars_g_per_L": [-1.0, 80.0, 20.0]}, "-1 g/L is outside 0-140 g/L"),
        ({"yeast_g_per_L": 0.5}, "0.5 g/L is outside 1.8-5 g/L"),
        ({"hours": 500.0}, "500 h is outside 0-240 h"),
        ({"step_h": 2.0}, "2 h is outside 0.001-0.25 h"),
        ({"record_h": 0.0}, "0 h is outside"),
    ],
)
def test_what_it_was_not_measured_on_is_refused(changed: dict[str, object], told: str) -> None:
    assert any(told in said for said in problems(**changed))


def test_all_faults_are_told_at_once() -> None:
    assert len(problems(degC=20.0, yeast="ale", yeast_g_per_L=9.0, hours=1e3)) == 4


def test_the_set_by_temperature_is_no_stand_in_for_it() -> None:
    course = model.ferment(SUGARS, hours=120.0, record_h=1.0)
    sugar = (course.glucose_g_per_L + course.maltose_g_per_L + course.maltotriose_g_per_L)[:, 0]
    hours = float(np.interp(0.9, 1.0 - sugar / sugar[0], course.times_h))
    assert 95.0 < hours < 115.0
    assert by_temperature_hours(10.5, 0.9) > 3.0 * hours
