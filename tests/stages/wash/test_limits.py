"""What cannot stand together in washbacks: every fault at its field, and what is only unusual as a warning."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from gristwright.basics import at
from gristwright.records.washbacks import MONTHS, Washbacks, WashMonth, WashReading
from gristwright.stages.wash.limits import MOST_READINGS, washback_problems

WHERE = at("plant", "washbacks")
PLAIN = Washbacks(count=6, volume_L=12_500.0, hours=72.0)
COOLED = replace(PLAIN, cooling="coil", cooling_m2=4.0, water_degC=12.0, cooled_from_degC=30.0, ceiling_degC=33.0)
COURSE = (WashReading(0.0, 1.055, 20.0), WashReading(12.0, 1.042, 26.0), WashReading(30.0, degC=32.0),
          WashReading(60.0, 0.9985), WashReading(72.0, 0.9990))  # fmt: skip
YEAR = tuple(WashMonth(month, 10.0 + month, 8.0 + month) for month in range(1, 13))
WHOLE = replace(COOLED, yeast="distilling", course=COURSE, months=YEAR)


def told(washbacks: Washbacks, brews: bool = False) -> dict[str, tuple[str, bool]]:
    """What stands at each field below the washbacks, and whether it is only a warning."""
    found = washback_problems(washbacks, WHERE, brews)
    places = [".".join(map(str, problem.address.path[2:])) for problem in found]
    assert len(set(places)) == len(places)
    assert all(problem.way_out.endswith(".") for problem in found)
    return dict(zip(places, ((problem.what, problem.warning) for problem in found), strict=True))


@pytest.mark.parametrize("washbacks", [PLAIN, COOLED, WHOLE], ids=["plain", "cooled", "whole"])
def test_sound_washbacks_are_told_nothing(washbacks: Washbacks) -> None:
    assert told(washbacks) == {}


def course(*readings: tuple[float, float | None, float | None]) -> dict[str, Any]:
    return {"course": tuple(WashReading(*one) for one in readings)}


@pytest.mark.parametrize(
    ("changed", "place", "words"),
    [
        ({"cooling": "none"}, "cooling_m2", "4 m2 stands beside washbacks without cooling."),
        ({"cooling": "none"}, "water_degC", "12 degC stands beside"),
        ({"cooling": "none"}, "cooled_from_degC", "30 degC stands beside"),
        ({"cooling": ""}, "cooling_m2", "4 m2 stands without a kind of cooling."),
        ({"set_degC": 30.0, "ceiling_degC": None, "cooled_from_degC": 24.9}, "cooled_from_degC", "more than 5 K below"),
        ({"water_degC": 30.0}, "water_degC", "30 degC is no colder than the wash that it cools, 30 degC."),
        ({"set_degC": 33.5}, "ceiling_degC", "33 degC is below the set temperature, 33.5 degC."),
        ({"set_degC": 40.0}, "set_degC", "40 degC is outside 10-32 degC."),
        (course((0, 1.05, None), (20, 1.02, None), (12, 1.03, None)), "course.3.hours", "earlier than the reading"),
        (course((0, 1.05, None), (12, 1.02, None), (12, 1.02, None)), "course.3.hours", "12 h is read twice."),
        (course((0, 1.05, None), (9, None, None), (12, 1.02, None)), "course.2", "neither gravity nor temperature"),
        (course((24.5, 1.03, None), (48, 1.0, None)), "course.1.hours", "later than 24 h"),
        (course((0, None, 20.0), (30, 1.03, None), (48, 1.0, None)), "course.2.hours", "30 h is the first gravity"),
        (course((0, 1.05, None), (12, None, 25.0), (24, 1.0515, None)), "course.3.gravity_sg", "a wash only falls"),
        (course((0, 1.05, 46.0), (12, 1.02, None)), "course.1.degC", "46 degC is outside 5-45 degC."),
        (course((0, 1.05, None), *((n, 1.0, None) for n in range(1, 50))), "course", f"at most {MOST_READINGS}"),
        ({"months": (*YEAR, YEAR[4])}, "months.13.month", "May stands twice."),
        ({"months": (*YEAR[:11], replace(YEAR[0], month=13))}, "months.12.month", "13 is outside 1-12."),
    ],
)  # fmt: skip
def test_what_cannot_stand_together_is_a_fault_at_its_field(changed: dict[str, Any], place: str, words: str) -> None:
    what, warning = told(replace(COOLED, **changed))[place]
    assert words in what
    assert not warning


@pytest.mark.parametrize(
    ("changed", "brews", "place", "words"),
    [
        ({"yeast": "lager", "set_degC": 20.5}, True, "set_degC", "above 20 degC, the warmest a lager yeast"),
        ({"yeast": "distilling", "set_degC": 14.5}, False, "set_degC", "below 15 degC, the coldest a distilling yeast"),
        ({"set_degC": 14.5}, False, "set_degC", "none is named, so that one is taken"),
        ({"yeast": "leaves maltotriose"}, False, "yeast", "lost to the still"),
        (course((0, 1.05, None), (12, None, 25.0)), False, "course", "1 gravity of a course cannot say how fast"),
        (course((0, None, 20.0)), False, "course", "0 gravities of a course"),
        ({"months": YEAR[:10]}, False, "months", "November, December are left out."),
        ({"months": tuple(replace(one, water_degC=20.0 + one.month) for one in YEAR)}, False, "months",
         "the water of October, 30 degC; November, 31 degC; December, 32 degC is no colder"),
    ],
)  # fmt: skip
def test_what_is_only_unusual_is_a_warning(changed: dict[str, Any], brews: bool, place: str, words: str) -> None:
    what, warning = told(replace(COOLED, **changed), brews)[place]
    assert words in what
    assert warning


@pytest.mark.parametrize(
    ("changed", "brews"),
    [
        ({"yeast": "lager", "set_degC": 20.0}, True),
        ({"yeast": "ale", "set_degC": 14.0}, False),
        ({"set_degC": 12.0, "cooled_from_degC": 13.0, "water_degC": 2.0}, True),
        ({"yeast": "leaves maltotriose"}, True),
        ({"set_degC": 30.0, "cooled_from_degC": 25.0}, False),
        (course((24.0, 1.05, None), (30.0, 1.051, None)), False),
    ],
)
def test_at_the_line_or_in_the_other_house_nothing_is_told(changed: dict[str, Any], brews: bool) -> None:
    assert told(replace(COOLED, **changed), brews) == {}


def test_water_by_month_that_cools_nothing_is_told_once() -> None:
    what, warning = told(replace(PLAIN, cooling="none", months=YEAR))["months"]
    assert what == "cooling water stands beside washbacks without cooling."
    assert warning


def test_all_faults_are_told_at_once() -> None:
    wrong = replace(
        COOLED,
        cooling="none",
        ceiling_degC=18.0,
        wall="glass",  # type: ignore[arg-type]
        pitch_million_per_mL=500.0,
        **course((30.0, 1.03, None), (20.0, None, None)),
        months=(WashMonth(1, 10.0), WashMonth(1, 12.0)),
    )
    assert set(told(wrong)) == {
        "wall", "pitch_million_per_mL", "cooling_m2", "water_degC", "cooled_from_degC", "ceiling_degC", "course",
        "course.1.hours", "course.2", "course.2.hours", "months.2.month", "months",
    }  # fmt: skip


def test_the_months_are_twelve() -> None:
    assert len(MONTHS) == len(set(MONTHS)) == 12
