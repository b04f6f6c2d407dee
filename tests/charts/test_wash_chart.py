"""Picture of a simulated wash: true to the record, readable without colour, said in words."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from gristwright.basics import Band
from gristwright.charts import render
from gristwright.charts.wash_course import MOST_POINTS, PANELS, wash_chart
from gristwright.records.wash_trials import WASH_COURSES, WashRun
from gristwright.records.washbacks import WashReading


def wash(**said: Any) -> WashRun:
    times = tuple(float(t) for t in range(121))
    warm = tuple(Band(20.0, 35.0 - abs(t - 40.0) / 8.0, 38.0) for t in times)
    falls = tuple(Band(0.99, 1.06 - 0.0005 * t, 1.07) for t in times)
    rises = tuple(Band(0.9 * t, t, 1.1 * t) for t in times)
    courses = dict.fromkeys(WASH_COURSES, rises) | {"degC": warm, "gravity_sg": falls}
    run = WashRun("today", "Harrow Burn", times, courses, (), (), (), (), (), (), (), 0.0, 0.0)
    return replace(run, **said)


READINGS = (WashReading(12.0, 1.05, 24.0), WashReading(36.0, None, 33.5))


def points(panel: dict[str, Any], mark: str) -> list[dict[str, Any]]:
    return [p for layer in panel["layer"] if layer["mark"]["type"] == mark for p in layer["data"]["values"]]


@pytest.mark.parametrize("width", [680, 262])
def test_it_draws_and_names_no_address(width: int) -> None:
    chart = wash_chart(wash(measured=READINGS), width=width)
    assert "http" not in json.dumps(chart, allow_nan=False)
    drawn = render.svg(chart)
    for panel in PANELS:
        assert f">{panel.title}<" in drawn
    assert "ceiling, 34.0 °C" in drawn and "hours from pitching" in drawn


def test_the_courses_end_with_the_charge_in_few_points() -> None:
    for panel in wash_chart(wash())["vconcat"]:
        line = points(panel, "line")
        assert line[-1]["h"] == 120.0 and len(line) <= MOST_POINTS + 2


def test_readings_are_circles_where_the_house_read_them() -> None:
    gravity, warm, *_ = wash_chart(wash(measured=READINGS))["vconcat"]
    assert points(gravity, "point") == [{"h": 12.0, "middle": 1.05}]
    assert points(warm, "point") == [{"h": 12.0, "middle": 24.0}, {"h": 36.0, "middle": 33.5}]
    assert not points(wash_chart(wash())["vconcat"][0], "point")


def test_the_ceiling_has_dashes_of_its_own_and_lies_inside_the_panel() -> None:
    warm = wash_chart(wash(ceiling_degC=45.0))["vconcat"][1]
    rule = next(layer for layer in warm["layer"] if layer["mark"]["type"] == "rule")
    line = next(layer for layer in warm["layer"] if layer["mark"]["type"] == "line")
    assert rule["mark"]["strokeDash"] != line["mark"]["strokeDash"]
    assert rule["data"]["values"] == [{"middle": 45.0}]
    assert rule["encoding"]["y"]["scale"]["domain"][1] >= 45.0


def test_cooled_or_not_stands_in_the_title_and_in_the_words_for_who_cannot_see() -> None:
    plain, cooled = (wash_chart(wash(cooled_from_degC=degC)) for degC in (None, 33.0))
    assert plain["title"]["subtitle"][1] == "not cooled"
    assert cooled["title"]["subtitle"][1] == "cooled from 33.0 °C"
    assert plain["description"] == (
        "Course of the simulated wash of today, not cooled: over 120 hours gravity falls from 1.060 to 1.000, alcohol "
        "rises to 120.0 %vol, and it is warmest after 40 hours, 35.0 °C (20.0 to 38.0)."
    )


def test_a_narrow_picture_names_its_two_lines_under_the_title() -> None:
    narrow = wash_chart(wash(), width=262)
    gravity, warm, *_ = narrow["vconcat"]
    assert not narrow["usermeta"]["named"] and wash_chart(wash())["usermeta"]["named"]
    assert warm["title"]["subtitle"] == ["full line: wash", "dashes: ceiling, 34.0 °C"]
    assert gravity["title"]["subtitle"] == []
