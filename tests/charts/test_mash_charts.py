"""Pictures of a simulated mash and of a grid of mashes: true to the record, drawn without anything from outside."""

from __future__ import annotations

import itertools
import json
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from gristwright.basics import Band
from gristwright.casework.mash_house.over import axis_of
from gristwright.charts import fonts, render
from gristwright.charts.course_panel import LINE_PX, apart
from gristwright.charts.heat_map import MARGIN, heat_map, setting_lines, variation_chart
from gristwright.charts.mash_course import course_chart, stacked
from gristwright.records.mash_trials import COURSES, ENZYMES, WHOLE_MASH, Axis, MashRun, PlanCell, Variation, WortLine
from gristwright.records.results import Figure

KEYS = ("lpa_per_t", "fermentability_pct")


def figure(key: str, middle: float, spread: float = 5.0) -> Figure:
    return Figure(key, key, "unit", Band(middle - spread, middle, middle + spread), 1, ())


def cell(values: tuple[float, ...]) -> PlanCell:
    if sum(values) >= 75.0:
        return PlanCell(values, {}, {}, float("nan"), "", "the second water runs dry.")
    moved = values[0] - 64.0
    figures = {key: figure(key, 390.0 - 3.0 * moved) for key in KEYS}
    return PlanCell(values, figures, {key: figure(key, -3.0 * moved, 4.0) for key in KEYS}, 0.1, "Run-off")


@cache
def grid(two: bool = True) -> Variation:
    axes: tuple[Axis, ...] = (axis_of("mash.settled_degC=62:72:2"),)
    axes += (axis_of("mash.liquor_L_per_kg=3,4"),) if two else ()
    points = [(a, b) for a in axes[0].values for b in axes[1].values] if two else [(a,) for a in axes[0].values]
    today = PlanCell((), {key: figure(key, 390.0) for key in KEYS}, {}, 0.1, "Run-off")
    standing = (64.0, 4.0)[: len(axes)]
    return Variation("today", "Harrow Burn", axes, standing, today, tuple(cell(p) for p in points), (), (), 128, 1)


def mash(worts: bool) -> MashRun:
    times = tuple(float(t) for t in range(0, 121, 5))
    rising = tuple(Band(0.9 * t, t, 1.1 * t) for t in times)
    dying = tuple(Band(0.4 * 0.98**t, 0.98**t, 1.0) for t in times)
    courses = {key: dying if key in ENZYMES else rising for key in COURSES}
    alive = {key: Band(10.0, 20.0, 30.0) for key in ENZYMES}
    flat = Band(1.0, 2.0, 3.0)
    names = (("first water", "washback", 60.0), ("second water", "washback", 90.0), ("third water", "next mash", 120.0))
    lines = names if worts else ((WHOLE_MASH, "washback", 120.0),)
    corners = ((0.0, 64.0), (60.0, 64.0), (60.0, 72.0), (90.0, 72.0), (90.0, 80.0), (120.0, 80.0))
    return MashRun(
        "today", "Harrow Burn", times, tuple(64.0 for _ in times), corners, courses, (),
        tuple(WortLine(name, goes, at, flat, flat, alive) for name, goes, at in lines), (), (), (), 0.0,
    )  # fmt: skip


CHARTS = {
    "tun": lambda: course_chart(mash(True)),
    "whole": lambda: course_chart(mash(False)),
    "map": lambda: heat_map(grid()),
    "lines": lambda: setting_lines(grid(False)),
}


@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_is_json_names_no_address_and_draws(name: str) -> None:
    chart = CHARTS[name]()
    assert "http" not in json.dumps(chart, allow_nan=False)
    drawn = render.svg(chart)
    assert drawn.startswith("<svg")
    assert fonts.FAMILY in drawn


@pytest.mark.parametrize(("ending", "first"), [(".svg", b"<svg"), (".png", b"\x89PNG"), (".pdf", b"%PDF")])
def test_a_picture_is_what_its_ending_says(ending: str, first: bytes) -> None:
    assert render.picture(heat_map(grid()), ending).startswith(first)


def maps(chart: dict[str, Any]) -> list[dict[str, Any]]:
    return [panel for row in chart["vconcat"] for panel in row["hconcat"]]


def test_a_map_a_figure_and_one_for_the_margin() -> None:
    panels = maps(heat_map(grid()))
    assert len(panels) == len(KEYS) + 1
    data = panels[0]["data"]["values"]
    assert len(data) == 12
    assert [datum["text"] for datum in data if datum["cannot"]] == ["×"] * 2
    assert {(d["x"], d["y"]) for d in data if d["today"]} == {("64", "4")}
    shares = [datum["share"] for datum in data if not datum["cannot"]]
    assert (min(shares), max(shares)) == (0.0, 1.0)


def test_bold_is_a_change_that_leaves_zero_out() -> None:
    data = maps(heat_map(grid()))[0]["data"]["values"]
    assert {datum["x"] for datum in data if datum["sure"]} == {"62", "66", "68", "70"}
    assert not any(datum["sure"] for datum in maps(heat_map(grid()))[-1]["data"]["values"])


def test_the_key_names_only_marks_that_are_there() -> None:
    said = heat_map(grid())["title"]["subtitle"]
    assert "frame" in said[0] and "×" in said[0]
    assert said[1] == "the plan as it stands: settled mash 64.0 °C, liquor at mashing in 4.0 L/kg"


def test_lines_leave_out_what_cannot_be_and_mark_it() -> None:
    panel = maps(variation_chart(grid(False)))[0]
    assert len(panel["layer"][0]["data"]["values"]) == 6
    assert panel["layer"][2]["encoding"]["y"]["datum"] == 390.0
    assert MARGIN not in panel["title"]


def test_the_picture_of_a_tun_ends_with_the_last_wort_for_the_washback() -> None:
    chart = course_chart(mash(True))
    points = [
        point
        for panel in chart["vconcat"]
        for layer in panel["layer"]
        for point in layer.get("data", {}).get("values", [])
    ]
    assert max(point["min"] for point in points if "min" in point) == 90.0
    drawn = render.svg(chart)
    assert ">first water<" in drawn
    assert "third water" not in drawn


def test_names_of_worts_close_together_stand_on_lines_of_their_own() -> None:
    close = [(370.0, "first wort"), (440.0, "first sparge"), (510.0, "second sparge")]
    assert stacked(close) == [0, 1, 0]
    assert stacked([(100.0, "first wort"), (400.0, "first sparge")]) == [0, 0]
    lowest_free = stacked([(200.0, "first wort"), (210.0, "first sparge"), (400.0, "second sparge")])
    assert lowest_free == [0, 1, 0]


def test_every_curve_has_its_name_and_a_dash_of_its_own() -> None:
    drawn = render.svg(course_chart(mash(False)))
    for name in ("dextrin", "starch not converted", "maltose", "maltotriose", "glucose", "alpha-amylase"):
        assert f">{name}<" in drawn
    dashes = [layer["mark"]["strokeDash"] for layer in course_chart(mash(False))["vconcat"][2]["layer"]
              if layer["mark"]["type"] == "line"]  # fmt: skip
    assert len({tuple(dash) for dash in dashes}) == 3


def test_names_of_curves_that_end_together_stand_apart_in_the_order_of_the_curves() -> None:
    places = apart([90.0, 88.0, 91.0], 97.0)
    assert places[1] < places[0] < places[2]
    assert min(b - a for a, b in itertools.pairwise(sorted(places))) >= LINE_PX
    assert max(places) <= 97.0 and apart([10.0, 50.0, 90.0], 97.0) == [10.0, 50.0, 90.0]


def test_names_of_sugars_that_end_together_do_not_run_into_each_other() -> None:
    """A mash whose sugars rise at the very end, as one with a cooker: once maltotriose was written over glucose."""
    flat = tuple(Band(0.0, 0.0, 0.0) for _ in range(24))
    ends = {"maltose_kg_per_t": 40.0, "maltotriose_kg_per_t": 38.0, "glucose_kg_per_t": 36.0}
    run = mash(False)
    late = {key: (*flat, Band(0.0, value, 200.0)) for key, value in ends.items()}
    sugars = course_chart(replace(run, courses={**run.courses, **late}), width=600)["vconcat"][2]
    texts = [layer for layer in sugars["layer"] if layer["mark"]["type"] == "text"]
    heights = [layer["encoding"]["y"]["value"] for layer in texts]
    assert [layer["data"]["values"][0]["text"] for layer in texts] == ["maltose", "maltotriose", "glucose"]
    assert min(b - a for a, b in itertools.pairwise(heights)) >= LINE_PX
    assert all(layer["encoding"]["x"]["value"] > sugars["width"] for layer in texts)


def test_a_narrow_picture_names_its_curves_under_the_titles() -> None:
    panel = course_chart(mash(False), width=262)["vconcat"][2]
    assert panel["title"]["subtitle"] == ["full line: maltose", "dashes: maltotriose", "dots: glucose"]
    assert panel["width"] == 262


def test_a_map_has_the_figures_asked_for_alone() -> None:
    assert len(maps(heat_map(grid(), keys=[MARGIN]))) == 1
    assert len(maps(heat_map(grid(), keys=["lpa_per_t", MARGIN]))) == 2
