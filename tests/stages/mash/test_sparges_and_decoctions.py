"""A mash run off behind its rests and sparged, and decoctions by the heat balance: arithmetic beside each number."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Problem, Refused, at
from gristwright.records.plant import Decoction, MashPlan, Rest, Sparge
from gristwright.records.ways import Ways
from gristwright.stages.mash import decoction, heat
from gristwright.stages.mash.duty import mash_duty
from gristwright.stages.mash.limits import mash_problems
from gristwright.stages.mash.limits_plan import plan_problems
from gristwright.stages.mash.models import simulate
from gristwright.stages.mash.programme import SharedDecoction, drawn_off, programmed_rests
from gristwright.stages.mash.waters import sparged
from stages.mash.mash_sample import MIDDLES, enzymes, malt

PLAN = MashPlan(2000.0, 5000.0, vessel="lauter")
STEPS = (Rest(52.0, 10.0), Rest(63.0, 40.0), Rest(72.0, 20.0), Rest(78.0, 5.0))
PAIRS = [(rest.settled_degC, rest.minutes) for rest in STEPS]
TWO = (Sparge(1.2, 78.0), Sparge(0.8, 76.0))
WHERE = at("plant", "mash")


def test_a_lauter_programme_runs_off_and_sparges_behind_its_rests() -> None:
    plan = drawn_off(programmed_rests(["malt"], PAIRS, 3.2), TWO, run_off_min=30.0)
    assert [(d.name, d.at_min, d.goes_to) for d in plan.draw_offs] == [
        ("first wort", 131.0, "washback"),
        ("first sparge", 161.0, "washback"),
        ("second sparge", 191.0, "washback"),
    ]
    assert [(c.at_min, c.liquor_L_per_kg) for c in plan.charges] == [(0.0, 3.2), (131.0, 1.2), (161.0, 0.8)]
    assert plan.mashed_in_L_per_kg == 3.2
    # By hand on the bed's 0.7 + 0.20 x 0.38 = 0.776 L/kg at 78: (0.776 x 78 + 0.8 x 76) / 1.576 = 76.985 degC.
    assert plan.corners[-1].settled_degC == pytest.approx(76.985, abs=1e-3)
    assert not plan.charges[0].weak_worts


def test_a_last_sparge_can_be_the_next_mash_s_first_liquor() -> None:
    last = replace(TWO[1], goes_to="next mash")
    plan = drawn_off(programmed_rests(["malt"], PAIRS, 3.2), (TWO[0], last))
    assert plan.draw_offs[-1].goes_to == "next mash" and plan.charges[0].weak_worts
    course = simulate(plan, [malt()], enzymes(), MIDDLES, 30.0, None)
    worts = [wort.liquid.extract_kg_per_t[0] for wort in course.worts]
    assert course.washback.extract_kg_per_t[0] == pytest.approx(sum(worts[:2]))
    assert course.balance_error < 1e-9


def test_first_wort_is_as_strong_as_its_water_makes_it() -> None:
    """Mass balance: E kg of extract in 3.2 L/kg and the malt's 0.045 kg of water, less what starch took up."""
    plan = drawn_off(programmed_rests(["malt"], PAIRS, 3.2), TWO)
    course = simulate(plan, [malt()], enzymes(), MIDDLES, 30.0, None)
    first, rest = course.worts[0].liquid, course.worts[1:]
    dissolved = 0.62 * 1.05 + 0.05 + 0.11  # starch as mostly maltose, ready sugar, inert
    strength = 100.0 * dissolved / (dissolved + 3.2 + 0.045 - 0.05 * 0.62)
    water = first.volume_L_per_t - heat.EXTRACT_L_PER_KG * first.extract_kg_per_t
    assert 100.0 * first.extract_kg_per_t / (first.extract_kg_per_t + water) == pytest.approx(strength, rel=0.02)
    assert [w.liquid.extract_kg_per_t[0] for w in rest] == sorted([w.liquid.extract_kg_per_t[0] for w in rest])[::-1]


def test_sparges_that_are_not_stated_bring_what_the_wort_lacks() -> None:
    """By hand, 755 kg of extract at 4.7 %: (5000 - 0.62 x 755) / 1000 + 0.7 - 0.047 = 5.185 L/kg in all."""
    found = sparged(replace(PLAN, liquor_L_per_kg=3.2), 755.0, 4.7)
    assert found.first_L_per_kg == 3.2
    assert [(round(s.L_per_kg, 3), s.liquor_degC) for s in found.sparges] == [(1.985, 78.0)]
    assert sparged(replace(PLAN, liquor_L_per_kg=5.15), 755.0, 4.7).sparges == ()
    assert sparged(replace(PLAN, sparges=TWO), 755.0, 4.7).first_L_per_kg == pytest.approx(3.185, abs=1e-3)
    with pytest.raises(Refused, match=r"sparges of 4\.00 L/kg leave 1\.18 L/kg .* Sparge at most 3\.7 L/kg"):
        sparged(replace(PLAN, sparges=(Sparge(4.0, 78.0),)), 755.0, 4.7)


def test_a_decoction_by_its_heat() -> None:
    """By hand, thin: 28 % of the heat brings 50 to 64 degC, (64 - 50) / (100 - 50); common practice: about a third."""
    share = decoction.share_for(50.0, 64.0, "thin", 4.0, 0.4)
    # The liquid is 4 of the mash's 4.4 L of heat and, as 4.67 L of room, all of what is taken out.
    assert share == pytest.approx(0.28 * 4.4 / 4.67)
    assert decoction.back_degC(50.0, share, "thin", 4.0, 0.4) == pytest.approx(64.0)
    thick = decoction.share_for(50.0, 64.0, "thick", 4.0, 0.4)
    assert 0.25 < thick < 1.0 / 3.0
    out = decoction.parts(thick, "thick", 4.0)
    assert out.grain == pytest.approx(2.0 * out.liquid)
    assert out.liquid * 4.0 + out.grain * 0.67 == pytest.approx(thick * 4.67)


DOUBLE = replace(
    PLAN,
    liquor_L_per_kg=3.8,
    rests=(Rest(50.0, 10.0), Rest(64.0, 30.0), Rest(75.0, 10.0)),
    decoctions=(Decoction(1, 15.0), Decoction(2, 10.0)),
)


def double(plan: MashPlan = DOUBLE) -> list[SharedDecoction]:
    shares = decoction.shares_pct(plan, 3.8, 4.5)
    return [SharedDecoction(one, share) for one, share in zip(plan.decoctions, shares, strict=True)]


def test_the_mash_waits_for_its_decoction_and_is_then_at_the_next_rest() -> None:
    plan = programmed_rests(["malt"], [(50.0, 10.0), (64.0, 30.0), (75.0, 10.0)], 3.8, decoctions=double())
    first, second = plan.decoctions
    # 22 K to its rest of 10 min, 28 K to the boil of 15 min, at 1 K/min: 75 min.
    assert (first.at_min, first.back_min) == (10.0, 85.0)
    assert second.back_min - second.at_min == 8.0 + 10.0 + 28.0 + 10.0
    settled = {corner.at_min: corner.settled_degC for corner in plan.corners}
    assert (settled[85.0], plan.end_min) == (64.0, 181.0)


def test_a_boiled_part_opens_its_starch_and_kills_its_enzymes() -> None:
    pairs = [(50.0, 10.0), (64.0, 30.0), (75.0, 10.0)]
    boiled = simulate(programmed_rests(["malt"], pairs, 3.8, decoctions=double()), [malt()], enzymes(), MIDDLES)
    after = int(np.argmax(boiled.times_min >= 85.0))
    out = double()[0].share_pct / 100.0
    held = decoction.parts(out, "thick", 3.8)
    assert boiled.balance_error < 1e-9
    assert boiled.alpha_alive[after] == pytest.approx((1.0 - held.liquid) * boiled.alpha_alive[after - 1], rel=0.01)
    # What was out has opened; what stood at 50 degC has not.
    assert boiled.unopened_starch_kg_per_t[after] == pytest.approx(620.0 * (1.0 - held.grain), rel=0.02)
    assert boiled.unconverted_pct[0] < 2.0


def test_the_heat_of_a_decoction_is_that_of_heating_the_whole_mash() -> None:
    """The first law: a boiled share that brings the mash from rest to rest carries what a jacket would bring."""
    pairs = [(50.0, 10.0), (64.0, 30.0), (75.0, 10.0)]
    grains = [malt()]
    by_part, by_jacket = (
        mash_duty(programmed_rests(["malt"], pairs, 3.8, decoctions=shared), grains, 20.0) for shared in (double(), ())
    )
    assert by_part.ramps_up_MJ_per_t == pytest.approx(by_jacket.ramps_up_MJ_per_t)


def test_a_remedy_counts_the_minutes_that_a_mash_waits_for_its_decoction() -> None:
    """At 64 degC: 30 min of its own, then 36 K at 1 K/min, 10 min held and 10 min boiled; and 10 min at 75 degC."""
    assert Ways.of(DOUBLE).stand_min == 30.0 + 36.0 + 10.0 + 10.0 + 10.0


def found(**changed: object) -> list[Problem]:
    return mash_problems(replace(DOUBLE, **changed), WHERE)  # type: ignore[arg-type]


def test_good_programmes_have_no_fault() -> None:
    assert found() == []
    assert found(rests=STEPS, sparges=TWO, decoctions=()) == []


@pytest.mark.parametrize(
    ("changed", "where", "words"),
    [
        ({"rests": (Rest(64.0, -5.0),), "decoctions": ()}, "rests 1.minutes", "time goes backwards"),
        ({"liquor_L_per_kg": 0.0}, "liquor_L_per_kg", "0 L/kg is outside 1.5-12 L/kg"),
        ({"sparges": (Sparge(0.0, 78.0),)}, "sparges 1.L_per_kg", "0 L/kg is outside 0.1-8 L/kg"),
        ({"sparges": (Sparge(1.0, 78.0),) * 5}, "sparges", "at most 4 are run"),
        ({"decoctions": (Decoction(1, 15.0, 80.0),)}, "decoctions 1.share_pct", "80 % of the mash is outside 5-50"),
        ({"decoctions": (Decoction(3, 15.0),)}, "decoctions 1.after_rest", "rest 3 of 3 has no rest behind it"),
        ({"decoctions": (Decoction(1, 15.0),) * 2}, "decoctions 2.after_rest", "a second decoction is taken"),
        ({"decoctions": (Decoction(2, 15.0, held_degC=50.0),)}, "decoctions 1.held_degC", "50 degC is colder"),
        ({"rests": ()}, "decoctions", "are given without rests"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence_with_the_way_out(changed: dict[str, object], where: str, words: str) -> None:
    (fault,) = found(**changed)
    assert fault.address.words == f"plant, mash, {where}"
    assert words in fault.what and fault.way_out and not fault.warning


def test_a_whole_mash_is_not_sparged() -> None:
    (fault,) = plan_problems(replace(PLAN, sparges=TWO), WHERE, grain_in=True)
    assert "draws nothing off its grain" in fault.what and "liquor_L_per_kg" in fault.way_out


def test_a_share_that_misses_its_rest_says_which_would_not() -> None:
    wrong = replace(DOUBLE, decoctions=(Decoction(1, 15.0, 45.0), Decoction(2, 10.0, 33.0)))
    (fault,) = decoction.share_problems(wrong, 3.8, 4.5, WHERE)
    assert "45 % of the mash settles it at 71.4 degC; the next rest says 64 degC." in fault.what
    assert fault.way_out.startswith("Take 29 % out")
    far = replace(DOUBLE, rests=(Rest(35.0, 10.0), Rest(78.0, 30.0)), decoctions=(Decoction(1, 15.0),))
    (fault,) = decoction.share_problems(far, 3.8, 4.5, WHERE)
    assert "would bring it from 35 to 78 degC, outside 5-50 %" in fault.what
