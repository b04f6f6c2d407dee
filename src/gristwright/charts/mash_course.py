"""A simulated mash over time: temperature, starch and dextrin, sugars, enzymes alive, each with its band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Band
from gristwright.charts import theme as look
from gristwright.charts.theme import Chart
from gristwright.records.mash import WASHBACK
from gristwright.records.mash_trials import WHOLE_MASH, MashRun

# Told apart by dash and by lightness before colour.
INKS = (
    {"color": look.LEVEL, "strokeDash": [1, 0]},
    {"color": "#a8713a", "strokeDash": [7, 3]},
    {"color": look.QUIET, "strokeDash": [2, 2]},
)
MASH, SETTLED = "mash", "settled, as written"
# Room above the highest curve; a line of text, all the room a name can use, and how near it stands, in pixels.
HEADROOM, LINE_PX, ENOUGH, NEAR_PX = 0.16, 18.0, 26.0, 9.0
# Names of worts: their lines lie so far apart, a character takes so much, in pixels.
STEP_PX, CHARACTER_PX = 13.0, 6.4
# Curves nearer than this run as one; a name stands rather where there is much of its thing.
TOUCHING, HIGHER = 6.0, 0.1


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
            DrawnCurve("limit dextrinase", "limit_dextrinase_alive", 100.0),
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


def _y(unit: str, low: float, high: float) -> Chart:
    """A scale with room above the highest curve for its name."""
    marks = look.ticks(low, high, 4)
    return {
        "type": "quantitative",
        "scale": {"domain": [marks[0], high + HEADROOM * (high - marks[0])], "nice": False},
        "axis": look.scale_axis(unit, marks),
    }


def _layers(data: list[Chart], ink: Chart, x: Chart, y: Chart) -> list[Chart]:
    across = {**x, "field": "min"}
    area = {"type": "area", "color": ink["color"], "opacity": 0.16}
    line = {"type": "line", "strokeWidth": 2.0, **ink}
    ends = {"x": across, "y": {**y, "field": "low"}, "y2": {"field": "high"}}
    return [
        {"data": {"values": data}, "mark": area, "encoding": ends},
        {"data": {"values": data}, "mark": line, "encoding": {"x": across, "y": {**y, "field": "middle"}}},
    ]


def _label(words: str, at: Chart, dy: float, ink: Chart, x: Chart, y: Chart) -> list[Chart]:
    """The name of a curve beside it, on a thin halo of paper."""
    data = {"values": [{**at, "text": words}]}
    text = {"type": "text", "dy": dy, "fontWeight": 600, "align": "center"}
    encoding = {"x": {**x, "field": "min"}, "y": {**y, "field": "middle"}, "text": {"field": "text"}}
    halo = {**text, "stroke": look.PAPER, "strokeWidth": 3, "color": look.PAPER}
    return [{"data": data, "mark": mark, "encoding": encoding} for mark in (halo, {**text, "color": ink["color"]})]


@dataclass(frozen=True)
class NamePlace:
    """Where a name stands: at which point of its curve, and how far above it [px]; below zero it stands below."""

    point: int
    up_px: float


def place(
    curves: Sequence[Sequence[tuple[float, float]]],
    own: int,
    height: float,
    half: float,
    span: tuple[float, float] = (0.0, 1.0),
) -> NamePlace:
    """Where the name of a curve stands freest. Curves as (x, y) in pixels with y upwards; `half` a name's half width.

    Above the curve if there is room for a line of text, below otherwise; steep pieces are shunned. Only within `span`,
    parts of the width.
    """
    curve = curves[own]
    right = curve[-1][0]
    allowed = [k for k, (x, _) in enumerate(curve) if span[0] * right + half <= x <= span[1] * right - half]
    rooms = [_room(curves, own, height, half, k, above) for k in allowed for above in (True, False)]
    best = {
        above: max((f for f in rooms if f[1] is above), default=(0.0, above, 0, 0.0, 0.0)) for above in (True, False)
    }
    above = best[True][4] >= min(LINE_PX, best[False][4])
    _, _, point, steep, _ = best[above]
    away = NEAR_PX + min(0.6 * steep, NEAR_PX)
    return NamePlace(point, away if above else -away)


def _room(
    curves: Sequence[Sequence[tuple[float, float]]], own: int, height: float, half: float, k: int, above: bool
) -> tuple[float, bool, int, float, float]:
    """How good a place is, above or below, at which point, how far the curve moves along the name, its room [px]."""
    x, y = curves[own][k]
    near = [j for j, (other, _) in enumerate(curves[own]) if abs(other - x) <= half]
    steep = max(abs(curves[own][j][1] - y) for j in near)
    others = [curve for number, curve in enumerate(curves) if number != own]
    gaps = [(curve[j][1] - curves[own][j][1]) * (1.0 if above else -1.0) for curve in others for j in near]
    room = min([height - y if above else y, *(max(gap, 0.0) for gap in gaps if gap > -TOUCHING)])
    bonus = HIGHER * y if others else 0.0
    clear = min(room, ENOUGH) - steep
    return clear + bonus, above, k, steep, clear


def _pixels(curve: list[Chart], x: Chart, y: Chart, size: tuple[int, int]) -> list[tuple[float, float]]:
    (left, right), (low, high) = x["scale"]["domain"], y["scale"]["domain"]
    return [(size[0] * (p["min"] - left) / (right - left), size[1] * (p["middle"] - low) / (high - low)) for p in curve]


def _panel(title: str, unit: str, lines: Sequence[DrawnCurve], run: MashRun, x: Chart, size: tuple[int, int]) -> Chart:
    shown = _shown(run)
    curves = [_points(run, line, shown) for line in lines]
    y = _y(unit, 0.0, max(point["high"] for curve in curves for point in curve))
    drawn = [_pixels(curve, x, y, size) for curve in curves]
    layers, names = _draws(run, x), []
    for number, (line, curve) in enumerate(zip(lines, curves, strict=True)):
        at = place(drawn, number, size[1], 3.2 * len(line.words))
        layers += _layers(curve, INKS[number], x, y)
        names += _label(line.words, curve[at.point], -at.up_px, INKS[number], x, y)
    return {"title": title, "width": size[0], "height": size[1], "layer": [*layers, *names]}


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
    y = _y("°C", min(values), max(values))
    dashed = {"type": "line", "interpolate": "linear", "strokeWidth": 1.4, **INKS[1]}
    line = {"x": {**x, "field": "min"}, "y": {**y, "field": "middle"}}
    drawn = _pixels(mash, x, y, size)
    first, second = (place([drawn], 0, size[1], 50.0, span) for span in ((0.0, 0.45), (0.5, 1.0)))
    layers = [
        *_draws(run, x, size[0]),
        *_layers(mash, INKS[0], x, y),
        {"data": {"values": written}, "mark": dashed, "encoding": line},
        *_label(MASH, mash[first.point], -first.up_px, INKS[0], x, y),
        *_label(SETTLED, mash[second.point], -second.up_px, INKS[1], x, y),
    ]
    return {"title": "Temperature", "width": size[0], "height": size[1], "layer": layers}


def course_chart(run: MashRun, *, width: int = 520, height: int = 118) -> Chart:
    """Four panels over the minutes of one mash: a line for the middle, a band from 5 to 95 %. Sizes in pixels.

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
        "vconcat": panels,
    }
