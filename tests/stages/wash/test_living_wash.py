"""The simulated wash: its balances, its order, and what each of its parts does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.stages.wash import living_wash
from gristwright.stages.wash.living_wash import LivingWash, constants
from gristwright.stages.wash.setting import pitched, vessel
from stages.wash.washes import FILLED_L, USUAL, drawn, ends, fermented_pct, one, reference, wash, wort


def test_mass_and_heat_close() -> None:
    for course in (wash(), wash(draws=drawn(64)), wash(wort(18.0), replace(USUAL, set_degC=28.0))):
        assert course.balance_error < 1e-9
        assert course.heat_error < 1e-9


def test_carbon_dioxide_is_that_of_the_ethanol() -> None:
    end = wash().end
    # 44.010 / 46.068 by mass: stoichiometry.
    assert end.co2_kg_per_m3 == pytest.approx((end.ethanol_g_per_L + end.stripped_g_per_L) * 44.010 / 46.068, rel=1e-4)


@pytest.mark.parametrize("degC", [20.0, 28.0])
def test_halving_the_step_moves_the_alcohol_by_less_than_a_fiftieth_of_a_per_cent(degC: float) -> None:
    backs = replace(USUAL, set_degC=degC)
    whole, half = (wash(backs=backs, step_h=step).abv_pct[-1, 0] for step in (1.0, 0.5))
    assert abs(whole - half) < 0.02


def test_a_member_comes_out_the_same_alone_and_among_others() -> None:
    some = drawn(3000)
    alone = {name: column[2500:2501] for name, column in some.items()}
    assert wash(draws=some).end.kept[2500] == pytest.approx(float(wash(draws=alone).end.kept[0]), rel=1e-12)


def test_sugars_go_in_order() -> None:
    draws, of = reference(), wort()
    step = LivingWash(of, pitched(USUAL, draws, False), vessel(USUAL, FILLED_L, draws, False), draws)
    state, made = step.start()
    half: dict[str, float] = {}
    for hour in range(72):
        for name in ("glucose", "maltose", "maltotriose"):
            if getattr(state, name)[0] < 0.5 * getattr(of, f"{name}_g_per_L")[0]:
                half.setdefault(name, hour)
        state, made = step.step(state, made, 1.0)
    assert half["glucose"] < half["maltose"] < half["maltotriose"]


def test_more_yeast_is_faster_and_less_is_slower() -> None:
    at_24 = [
        fermented_pct(wash(backs=replace(USUAL, pitch_million_per_mL=million)), 24.0) for million in (2.0, 8.0, 25.0)
    ]
    assert at_24 == sorted(at_24)
    assert at_24[0] < 15.0


def test_a_wort_poor_in_nitrogen_is_slow_and_keeps_sugar() -> None:
    courses = [wash(wort(fan_mg_per_L=fan)) for fan in (15.0, 60.0, 170.0)]
    poor, short, rich = (ends(course) for course in courses)
    assert poor["yeast_made_g_per_L"] < short["yeast_made_g_per_L"] < rich["yeast_made_g_per_L"]
    assert poor["sugar_left_g_per_L"] > rich["sugar_left_g_per_L"] + 2.0
    at_24 = [fermented_pct(course, 24.0) for course in courses]
    assert at_24[0] < at_24[1] < at_24[2] - 10.0


def test_heat_kills_and_costs_litres() -> None:
    cool, hot = ends(wash()), ends(wash(backs=replace(USUAL, set_degC=28.0)))
    assert hot["peak_degC"] > cool["peak_degC"] + 3.0
    assert hot["yeast_dead_share"] > cool["yeast_dead_share"]
    assert hot["kept"] < cool["kept"] - 0.02


def test_a_small_washback_leaves_its_heat_to_the_room() -> None:
    small = ends(wash(backs=replace(USUAL, volume_L=353.0)))
    assert small["peak_degC"] < ends(wash())["peak_degC"] - 3.0


def test_cooling_holds_the_wash_where_it_is_asked_to() -> None:
    held = replace(USUAL, cooling="jacket", cooled_from_degC=28.0)
    assert ends(wash(backs=held))["peak_degC"] == pytest.approx(28.0, abs=0.05)
    assert ends(wash(backs=replace(held, cooling_m2=0.5)))["peak_degC"] > 30.0


def test_enzymes_alive_make_more_than_a_boiled_wort_has() -> None:
    live = wort(bacteria_log10_per_mL=0.0)
    dead = replace(live, alpha_exponent=one(0.0), dextrinase_exponent=one(0.0))
    assert wash(live).abv_pct[-1, 0] > wash(dead).abv_pct[-1, 0] + 0.5
    assert wash(dead).dextrin_g_per_L[-1, 0] == pytest.approx(float(wash(dead).dextrin_g_per_L[0, 0]), rel=0.02)


def test_yeast_that_leaves_maltotriose_leaves_it() -> None:
    end = ends(wash(backs=replace(USUAL, yeast="leaves maltotriose")))
    assert end["sugar_left_g_per_L"] > 0.9 * float(wort().maltotriose_g_per_L[0])


def test_bacteria_take_time_and_take_litres() -> None:
    long = replace(USUAL, hours=110.0)
    usual, dirty = ends(wash(backs=long)), ends(wash(wort(bacteria_log10_per_mL=6.2), backs=long))
    assert ends(wash())["lactic_g_per_L"] < usual["lactic_g_per_L"]
    assert dirty["lactic_cost"] > 2.0 * ends(wash(backs=replace(USUAL, bacteria="clean")))["lactic_cost"]
    assert dirty["pH"] < ends(wash())["pH"]


def test_a_wort_of_nothing_makes_nothing_and_breaks_nothing() -> None:
    nothing = wort(shares=dict.fromkeys(("glucose_g_per_L", "maltose_g_per_L", "maltotriose_g_per_L"), 1e-12))
    none = replace(
        nothing, **{name: one(0.0) for name in vars(nothing) if name.endswith("_g_per_L") and "fan" not in name}
    )
    course = wash(none)
    assert np.isfinite(course.end.kept).all()
    assert course.abv_pct[-1, 0] == 0.0


def test_the_hours_at_full_pace_are_those_of_the_models_own_usual_wash() -> None:
    draws, c = reference(), constants()
    step = LivingWash(wort(), pitched(USUAL, draws, False), vessel(USUAL, FILLED_L, draws, False), draws)
    state, made = step.start()
    hours = {"alpha": 0.0, "dextrinase": 0.0}
    for _ in range(72):
        middle = step._half(state, step.rates(state), 0.5)
        warm = np.exp(c["enzyme_per_K"] * (middle.degC - 30.0))
        for enzyme in hours:
            hours[enzyme] += float((warm * living_wash._awake(step.pH(middle), enzyme))[0])
        state, made = step.step(state, made, 1.0)
    assert hours["alpha"] == pytest.approx(c["alpha_usual_hours"], rel=0.01)
    assert hours["dextrinase"] == pytest.approx(c["dextrinase_usual_hours"], rel=0.01)
