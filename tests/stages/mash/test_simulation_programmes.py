"""Programmes as a distiller writes them, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Refused
from gristwright.records.mash import Charge, Corner, DrawOff, MashProgramme
from gristwright.records.plant import Water
from gristwright.stages.mash import brandam2003
from gristwright.stages.mash.models import simulate
from gristwright.stages.mash.programme import cooker, programmed_rests, single_infusion
from gristwright.stages.mash.temperature import legs
from stages.mash.mash_sample import MIDDLES, enzymes, malt, one, raw, rests

GOOD = MashProgramme("plain", (Corner(0.0, 64.0), Corner(60.0, 64.0)), (Charge(0.0, 4.0, (("malt", 1.0),)),))


def refused(programme: MashProgramme) -> str:
    with pytest.raises(Refused) as caught:
        simulate(programme, [malt()], enzymes(), MIDDLES)
    return str(caught.value)


def test_rests_are_joined_by_ramps() -> None:
    plan = programmed_rests(["malt"], [(45.0, 20.0), (64.0, 30.0)], 4.0, ramp_K_per_min=2.0)
    found = [(corner.at_min, corner.settled_degC) for corner in plan.corners]
    assert found == [(0.0, 45.0), (20.0, 45.0), (29.5, 64.0), (59.5, 64.0)]


def test_legs_break_at_every_event() -> None:
    waters = (Water("first", 4.0, 64.0), Water("second", 1.6, 72.0))
    plan = single_infusion(["malt"], waters, stand_min=60.0, run_off_min=30.0, later_stand_min=10.0)
    found = legs(plan)
    assert [leg.start_s for leg in found] == [0.0, 120.0, 5400.0, 5520.0]
    assert [leg.jumps for leg in found] == [True, False, True, False]
    assert found[-1].end_s == 60.0 * plan.end_min
    assert [leg.step_s <= step + 1e-9 for leg, step in zip(found, (10.0, 10.0, 20.0, 20.0), strict=True)] == [True] * 4


def test_waters_beyond_the_second_go_to_the_next_mash() -> None:
    names = ("first", "second", "third", "fourth")
    plan = single_infusion(["malt"], [Water(name, 3.0, 64.0 + 6 * n) for n, name in enumerate(names)])
    assert [(draw.name, draw.goes_to) for draw in plan.draw_offs] == [
        ("first water", "washback"),
        ("second water", "washback"),
        ("third water", "next mash"),
        ("fourth water", "next mash"),
    ]
    assert plan.charges[0].weak_worts


def test_a_cook_has_its_order() -> None:
    plan = cooker(["maize"], ["malt"], 142.0, 20.0, 3.0, premalt=("malt", 0.25), second=["rye"])
    assert [dict(charge.grains) for charge in plan.charges] == [
        {"maize": 1.0, "malt": 0.25},
        {"rye": 1.0},
        {"malt": 0.75},
    ]
    at = [
        np.interp(c.at_min, [k.at_min for k in plan.corners], [k.settled_degC for k in plan.corners])
        for c in plan.charges
    ]
    assert at == pytest.approx([40.0, 77.0, 63.0])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"corners": (Corner(0.0, 64.0), Corner(60.0, 64.0), Corner(30.0, 70.0))},
            "time goes backwards, from 60 to 30",
        ),
        ({"corners": (Corner(5.0, 64.0), Corner(60.0, 64.0))}, "the first corner stands at 5 min, not at 0"),
        ({"corners": (Corner(0.0, 64.0),)}, "at least two corners"),
        ({"corners": (Corner(0.0, 64.0), Corner(60.0, 640.0))}, "640 degC is outside 5-160 degC"),
        ({"corners": (Corner(0.0, 64.0), Corner(3600.0, 64.0))}, "Give minutes, not seconds"),
        ({"charges": (Charge(0.0, 4.0, (("malt", 0.6),)),)}, "its parts add to 0.6, not to 1"),
        ({"charges": (Charge(0.0, 4.0, (("wheat", 1.0),)),)}, "no such grain in the grist"),
        ({"charges": (Charge(0.0, 0.5, (("malt", 1.0),)),)}, "0.5 L/kg is outside 1.5-12 L/kg"),
        ({"charges": (Charge(0.0, 0.0, (("malt", 1.0),)), Charge(5.0, 4.0))}, "the first charge brings no liquor"),
        ({"charges": (Charge(9.0, 4.0), Charge(0.0, 0.0, (("malt", 1.0),)))}, "time goes backwards, from 9 to 0"),
        ({"charges": (Charge(90.0, 4.0, (("malt", 1.0),)),)}, "90 min lies outside the mash, 0-60 min"),
        ({"draw_offs": (DrawOff(60.0, "first", "the drain"),)}, "'the drain' is no place"),
        ({"draw_offs": (DrawOff(0.0, "first"),)}, "only 0 L/kg were let in before it"),
        ({"mash_pH": 8.0}, "8 pH is outside 4-7 pH"),
        ({"backset_pct": 80.0}, "80 % is outside 0-60 %"),
        ({"grist_degC": 60.0}, "60 degC is outside -10-45 degC"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, object], words: str) -> None:
    assert words in refused(replace(GOOD, **change))  # type: ignore[arg-type]


def test_all_faults_come_at_once() -> None:
    text = refused(replace(GOOD, mash_pH=8.0, backset_pct=80.0, grist_degC=60.0))
    assert len(text.splitlines()) == 3


def test_a_grist_must_add_up() -> None:
    with pytest.raises(Refused, match=r"shares add to 0\.9, not to 1"):
        simulate(GOOD, [malt(0.9)], enzymes(), MIDDLES)
    with pytest.raises(Refused, match="stands in the grist twice"):
        simulate(GOOD, [malt(0.5), malt(0.5)], enzymes(), MIDDLES)
    with pytest.raises(Refused, match=r"'quinoa' is mashed = no in tables/grains\.csv"):
        simulate(GOOD, [replace(malt(), species="quinoa")], enzymes(), MIDDLES)
    with pytest.raises(Refused, match=r"1\.2 kg/kg is outside 0-0\.9"):
        simulate(GOOD, [replace(malt(), starch_kg_per_kg=one(1.2))], enzymes(), MIDDLES)


def test_malt_into_a_hot_mash_is_warned_of() -> None:
    plan = cooker(["raw"], ["malt"], 100.0, 20.0, 3.5, malt_degC=70.0)
    course = simulate(plan, [malt(0.2), raw("maize", 0.8)], enzymes(), MIDDLES)
    assert ["above 67 degC its enzymes die" in problem.what for problem in course.warnings] == [True]
    assert simulate(rests((64.0, 20.0)), [malt()], enzymes(), MIDDLES).warnings == ()


def test_builders_refuse_nonsense() -> None:
    with pytest.raises(Refused, match="time goes backwards"):
        programmed_rests(["malt"], [(64.0, -5.0)], 4.0)
    with pytest.raises(Refused, match="no rest"):
        programmed_rests(["malt"], [], 4.0)
    with pytest.raises(Refused, match="0 waters"):
        single_infusion(["malt"], [])


@pytest.mark.parametrize("degC", [30.0, 78.0])
def test_the_published_model_refuses_what_it_was_not_fitted_to(degC: float) -> None:
    with pytest.raises(Refused, match="is outside 37-76 degC"):
        brandam2003.mash([Corner(0.0, degC), Corner(60.0, degC)])
    with pytest.raises(Refused, match="is outside 20-300 g/L"):
        brandam2003.mash([Corner(0.0, 65.0), Corner(60.0, 65.0)], 500.0)
