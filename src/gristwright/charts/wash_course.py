"""A simulated wash over its hours: gravity, temperature, alcohol and living yeast, each with its band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.charts import theme as look
from gristwright.charts.course_panel import INKS, end_px, line_and_band, named_beside, named_panel, scale_y
from gristwright.charts.theme import Chart
from gristwright.quantities.shown import plain
from gristwright.records.wash_trials import WashRun
from gristwright.records.washbacks import WashReading

# So many points tell a course; more only make the picture heavier.
MOST_POINTS = 60
# How high a panel is, of the height that is asked for.
USUAL, FLAT = 1.0, 0.62


@dataclass(frozen=True)
class WashPanel:
    """One panel: title, unit, the name of its curve, its course, its height and how fine its numbers are."""

    title: str
    unit: str
    name: str
    key: str
    height: float
    decimals: int
    from_zero: bool


PANELS = (
    WashPanel("Gravity", "SG", "apparent gravity", "gravity_sg", USUAL, 4, False),
    WashPanel("Temperature", "°C", "wash", "degC", USUAL, 2, False),
    WashPanel("Alcohol", "%vol", "alcohol", "abv_pct", USUAL, 3, True),
    WashPanel("Living yeast", "g/L, dry", "living yeast", "yeast_alive_g_per_L", FLAT, 3, True),
)


def wash_chart(run: WashRun, *, width: int = 520, height: int = 104) -> Chart:
    """Four panels over the hours of one wash: a line for the middle, a band from 5 to 95 %. Sizes in pixels.

    `width` holds the names of the curves, too, which stand behind their ends, or under the titles where it is narrow.
    Readings of the house are circles; the ceiling is a line of dashes over the temperature.
    """
    end = run.times_h[-1]
    bare = {"type": "quantitative", "scale": {"domain": [0.0, end], "nice": False}, "field": "h"}
    marks = look.ticks(0.0, end, 8)
    panels = []
    for panel in PANELS:
        title = "hours from pitching" if panel is PANELS[-1] else ""
        x: Chart = {**bare, "axis": look.scale_axis(title, marks)}
        panels.append(_panel(run, panel, x, (width, round(panel.height * height))))
    return {
        "title": {"text": f"{run.bill}, {run.house}", "subtitle": subtitle(run)},
        "description": description(run),
        "config": look.theme() | {"padding": {"left": 4, "top": 4, "right": 14, "bottom": 8}},
        "usermeta": named_beside(width),
        "spacing": 14,
        "vconcat": panels,
    }


def subtitle(run: WashRun) -> list[str]:
    """How to read the picture, and whether the wash is cooled."""
    circles = "; circles: measured" if run.measured else ""
    return ["simulated wash; line: middle, band: 5 to 95 %", f"{cooling(run)}{circles}"]


def cooling(run: WashRun) -> str:
    """Whether the wash is cooled, and from where."""
    return "not cooled" if run.cooled_from_degC is None else f"cooled from {plain(run.cooled_from_degC, 1)} °C"


def description(run: WashRun) -> str:
    """What the picture shows, for who cannot see it."""
    gravity, warm, alcohol = (run.courses[key] for key in ("gravity_sg", "degC", "abv_pct"))
    peak = max(warm, key=lambda band: band.middle)
    hour = run.times_h[warm.index(peak)]
    readings = f" {len(run.measured)} readings of the house are marked." if run.measured else ""
    return (
        f"Course of the simulated wash of {run.bill}, {cooling(run)}: over {plain(run.times_h[-1], 0)} hours gravity "
        f"falls from {plain(gravity[0].middle, 3)} to {plain(gravity[-1].middle, 3)}, alcohol rises to "
        f"{plain(alcohol[-1].middle, 1)} %vol, and it is warmest after {plain(hour, 0)} hours, "
        f"{plain(peak.middle, 1)} °C ({plain(peak.low, 1)} to {plain(peak.high, 1)}).{readings}"
    )


def _panel(run: WashRun, panel: WashPanel, x: Chart, size: tuple[int, int]) -> Chart:
    points = _points(run, panel)
    marks = [{"h": r.hours, "middle": value} for r in run.measured if (value := reading_of(r, panel.key)) is not None]
    lines = [run.ceiling_degC] if panel.key == "degC" else []
    seen = [point[end] for point in points for end in ("low", "high")] + [mark["middle"] for mark in marks] + lines
    y = scale_y(panel.unit, 0.0 if panel.from_zero else min(seen), max(seen))
    layers = line_and_band(points, INKS[0], x, y)
    names, ends = [panel.name], [end_px(points[-1]["middle"], y, size[1])]
    for degC in lines:
        rule = {"type": "rule", **INKS[1], "strokeWidth": 1.2}
        layers.append(
            {"data": {"values": [{"middle": degC}]}, "mark": rule, "encoding": {"y": {**y, "field": "middle"}}}
        )
        names.append(f"ceiling, {plain(degC, 1)} °C")
        ends.append(end_px(degC, y, size[1]))
    if marks:
        layers.append(_circles(marks, x, y))
    return named_panel(panel.title, names, ends, layers, *size)


def _circles(marks: Sequence[Chart], x: Chart, y: Chart) -> Chart:
    circle = {"type": "point", "shape": "circle", "size": 42, "filled": True, "fill": look.PAPER, "opacity": 1.0}
    circle |= {"stroke": look.INK, "strokeWidth": 1.6}
    return {"data": {"values": list(marks)}, "mark": circle, "encoding": {"x": x, "y": {**y, "field": "middle"}}}


def reading_of(reading: WashReading, key: str) -> float | None:
    """What a reading of the house says of one course, None where it says nothing."""
    return {"gravity_sg": reading.gravity_sg, "degC": reading.degC}.get(key)


def _points(run: WashRun, panel: WashPanel) -> list[Chart]:
    every = -(-len(run.times_h) // MOST_POINTS)
    kept = sorted({*range(0, len(run.times_h), every), len(run.times_h) - 1})
    bands = run.courses[panel.key]
    return [
        {"h": round(run.times_h[k], 2)}
        | {end: round(getattr(bands[k], end), panel.decimals) for end in ("low", "middle", "high")}
        for k in kept
    ]
