"""A simulated mash over time: temperature, starch and dextrin, sugars, enzymes alive, each with its band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Band
from gristwright.charts import theme as look
from gristwright.charts.course_panel import (
    INKS,
    NAMES_PX,
    WIDE_PX,
    end_px,
    line_and_band,
    named_beside,
    named_panel,
    scale_y,
)
from gristwright.charts.theme import Chart
from gristwright.records.mash import WASHBACK
from gristwright.records.mash_trials import WHOLE_MASH, MashRun

MASH, SETTLED = "mash", "settled, as written"
# Names of worts: their lines lie so far apart, a character takes so much, in pixels.
STEP_PX, CHARACTER_PX = 13.0, 6.4


@dataclass(frozen=True)
class DrawnCurve:
    """One curve of a panel: its words, its course, and what turns it into the panel's unit."""

    words: str
    key: str
    factor: float = 1.0


PANELS = (
    (
        "Starch and dextrin in the vessel",
        "kg/t",
        (DrawnCurve("dextrin", "dextrin_kg_per_t"), DrawnCurve("starch not converted", "starch_kg_per_t")),
    ),
    (
        "Sugars in the vessel",
        "kg/t",
        (
            DrawnCurve("maltose", "maltose_kg_per_t"),
            DrawnCurve("maltotriose", "maltotriose_kg_per_t"),
            DrawnCurve("glucose", "glucose_kg_per_t"),
        ),
    ),
    (
        "Enzymes alive, of those put in",
        "%",
        (
            DrawnCurve("limit dextrinase", "limit_dextrinase_alive", 100.0),  # left out where the model has none
            DrawnCurve("alpha-amylase", "alpha_alive", 100.0),
            DrawnCurve("beta-amylase", "beta_alive", 100.0),
        ),
    ),
)


def last_shown(run: MashRun) -> float:
    """Where the picture ends [min]: with the last wort for the washback, or with the mash."""
    return max(wort.at_min for wort in run.worts if wort.goes_to == WASHBACK)


def _points(run: MashRun, line: DrawnCurve, shown: int) -> list[Chart]:
    courses: Sequence[Band] = run.courses[line.key][:shown]
    return [
        {
            "min": round(t, 2),
            "low": round(b.low * line.factor, 3),
            "middle": round(b.middle * line.factor, 3),
            "high": round(b.high * line.factor, 3),
        }
        for t, b in zip(run.times_min, courses, strict=False)
    ]


def _panel(title: str, unit: str, lines: Sequence[DrawnCurve], run: MashRun, x: Chart, size: tuple[int, int]) -> Chart:
    shown, lines = _shown(run), [line for line in lines if line.key in run.courses]
    curves = [_points(run, line, shown) for line in lines]
    y = scale_y(unit, 0.0, max(point["high"] for curve in curves for point in curve))
    layers = _draws(run, x)
    for ink, curve in zip(INKS, curves, strict=False):
        layers += line_and_band(curve, ink, {**x, "field": "min"}, y)
    ends = [end_px(curve[-1]["middle"], y, size[1]) for curve in curves]
    return named_panel(title, [line.words for line in lines], ends, layers, *size)


def _shown(run: MashRun) -> int:
    return sum(t <= last_shown(run) + 1e-6 for t in run.times_min)


def _draws(run: MashRun, x: Chart, width: int = 0) -> list[Chart]:
    """An upright line for each wort that leaves before the picture ends, named in a panel of this `width` [px]."""
    end = last_shown(run)
    worts = [wort for wort in run.worts if wort.at_min <= end + 1e-6 and wort.name != WHOLE_MASH]
    if not worts:
        return []
    # Where all of them go to one place the table says it, and the names stay short.
    apart = {wort.goes_to for wort in worts} != {WASHBACK}
    data: list[Chart] = [
        {"min": wort.at_min, "text": f"{wort.name} to {wort.goes_to}" if apart else wort.name} for wort in worts
    ]
    rule = {"type": "rule", "color": look.QUIET, "strokeWidth": 1, "strokeDash": [1, 3]}
    layers: list[Chart] = [{"data": {"values": data}, "mark": rule, "encoding": {"x": {**x, "field": "min"}}}]
    lines = (
        stacked([(width * wort.at_min / end, one["text"]) for wort, one in zip(worts, data, strict=True)])
        if width
        else []
    )
    for line in sorted(set(lines)):
        values = [one for one, own in zip(data, lines, strict=True) if own == line]
        text = {"type": "text", "baseline": "bottom", "align": "right", "dx": -4, "dy": -4 - STEP_PX * line}
        encoding = {"x": {**x, "field": "min"}, "y": {"value": "height"}, "text": {"field": "text"}}
        layers.append({"data": {"values": values}, "mark": {**text, "color": look.QUIET}, "encoding": encoding})
    return layers


def stacked(names: Sequence[tuple[float, str]]) -> list[int]:
    """On which line, the lowest 0, each name stands that ends at (x [px], text), so that none runs into another."""
    free: list[float] = []
    lines = []
    for x, text in names:
        left = x - CHARACTER_PX * len(text)
        line = next((k for k, end in enumerate(free) if end <= left), len(free))
        free[line:] = [x, *free[line + 1 :]]
        lines.append(line)
    return lines


def _temperature(run: MashRun, x: Chart, size: tuple[int, int]) -> Chart:
    mash = _points(run, DrawnCurve(MASH, "mash_degC"), _shown(run))
    end = last_shown(run)
    written = [{"min": round(t, 2), "middle": degC} for t, degC in run.corners if t <= end + 1e-6]
    if len(written) > 1 and written[-1]["min"] == written[-2]["min"] == round(end, 2):
        written.pop()  # the step to the next water belongs to what is not shown
    values = [point[key] for point in mash for key in ("low", "high")] + [point["middle"] for point in written]
    y = scale_y("°C", min(values), max(values))
    dashed = {"type": "line", "interpolate": "linear", "strokeWidth": 1.4, **INKS[1]}
    line = {"x": {**x, "field": "min"}, "y": {**y, "field": "middle"}}
    layers = [
        *_draws(run, x, size[0] - NAMES_PX if size[0] >= WIDE_PX else size[0]),
        *line_and_band(mash, INKS[0], {**x, "field": "min"}, y),
        {"data": {"values": written}, "mark": dashed, "encoding": line},
    ]
    ends = [end_px(points[-1]["middle"], y, size[1]) for points in (mash, written or mash)]
    return named_panel("Temperature", (MASH, SETTLED), ends, layers, *size)


def course_chart(run: MashRun, *, width: int = 520, height: int = 118) -> Chart:
    """Four panels over the minutes of one mash: a line for the middle, a band from 5 to 95 %. Sizes in pixels.

    `width` holds the names of the curves, too, which stand behind their ends, or under the titles where it is narrow.
    It ends with the last wort that goes to the washback; weak worts drawn after it are in the table.
    """
    end = last_shown(run)
    marks = look.ticks(0.0, end, 8)
    bare = {"type": "quantitative", "scale": {"domain": [0.0, end], "nice": False}}
    x: Chart = {**bare, "axis": look.scale_axis("", marks)}
    named: Chart = {**bare, "axis": look.scale_axis("minutes from the first liquor", marks)}
    panels = [_temperature(run, x, (width, round(0.75 * height)))]
    for title, unit, lines in PANELS:
        last = title == PANELS[-1][0]
        panels.append(_panel(title, unit, lines, run, named if last else x, (width, round(1.15 * height))))
    return {
        "title": {"text": f"{run.bill}, {run.house}", "subtitle": "simulated mash; line: middle, band: 5 to 95 %"},
        "description": f"Course of the simulated mash of {run.bill}: temperature, starch, sugars and enzymes over time",
        "config": look.theme() | {"padding": {"left": 4, "top": 4, "right": 14, "bottom": 8}},
        "usermeta": named_beside(width),
        "spacing": 14,
        "vconcat": panels,
    }
