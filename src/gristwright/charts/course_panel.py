"""Panels of curves over one axis of time: line and band, names behind their ends or under the title.

Used by the courses of the simulated mash and of the simulated wash.
"""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart

# Told apart by dash and by lightness before colour.
INKS = (
    {"color": look.LEVEL, "strokeDash": [1, 0]},
    {"color": "#a8713a", "strokeDash": [7, 3]},
    {"color": look.QUIET, "strokeDash": [2, 2]},
)
# Part of the scale left free above the highest curve.
HEADROOM = 0.08
# Names of curves: their lines lie so far apart, they stand so far behind the end of the curve, in pixels.
LINE_PX, LEADER_PX = 14.0, 16.0
# A picture this wide has room for the names beside its curves; in a narrower one they stand under the title.
WIDE_PX, NAMES_PX = 400, 126
FORMS = ("full line", "dashes", "dots")


def scale_y(unit: str, low: float, high: float) -> Chart:
    """A scale with a little room above the highest curve."""
    marks = look.ticks(low, high, 4)
    return {
        "type": "quantitative",
        "scale": {"domain": [marks[0], high + HEADROOM * (high - marks[0])], "nice": False},
        "axis": look.scale_axis(unit, marks),
    }


def line_and_band(data: list[Chart], ink: Chart, x: Chart, y: Chart) -> list[Chart]:
    """The band from low to high and the line of the middle, of points with these fields; `x` names its own."""
    area = {"type": "area", "color": ink["color"], "opacity": 0.16}
    line = {"type": "line", "strokeWidth": 2.0, **ink}
    ends = {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}}
    return [
        {"data": {"values": data}, "mark": area, "encoding": ends},
        {"data": {"values": data}, "mark": line, "encoding": {"x": x, "y": {**y, "field": "middle"}}},
    ]


def apart(wanted: Sequence[float], height: float) -> list[float]:
    """Where names stand [px from the top] that want to stand at `wanted`: LINE_PX apart, in the same order, inside.

    A panel too low for all of them lets the last ones hang below it.
    """
    order = sorted(range(len(wanted)), key=lambda k: wanted[k])
    places = [0.0] * len(wanted)
    free = 0.0
    for k in order:
        places[k] = max(wanted[k], free)
        free = places[k] + LINE_PX
    most = max(height, LINE_PX * (len(wanted) - 1))
    for k in reversed(order):
        places[k] = min(places[k], most)
        most = places[k] - LINE_PX
    return places


def _names(words: Sequence[str], ends: Sequence[float], size: tuple[int, int]) -> list[Chart]:
    """The name of every curve behind its end, led to by a piece of the curve's own line; ends [px from the top]."""
    width, height = size
    layers: list[Chart] = []
    for ink, name, end, at in zip(INKS, words, ends, apart(ends, height), strict=False):
        data = {"values": [{"text": name}]}
        leader = {
            "x": {"value": width + 1},
            "x2": {"value": width + LEADER_PX},
            "y": {"value": round(end, 1)},
            "y2": {"value": round(at, 1)},
        }
        text = {"type": "text", "align": "left", "baseline": "middle", "dx": 4, "fontWeight": 600}
        text["color"] = ink["color"]
        behind = {
            "x": {"value": width + LEADER_PX},
            "y": {"value": round(at, 1)},
            "text": {"field": "text"},
        }
        layers.append({"data": data, "mark": {"type": "rule", "strokeWidth": 1.2, **ink}, "encoding": leader})
        layers.append({"data": data, "mark": text, "encoding": behind})
    return layers


def named_panel(title: str, words: Sequence[str], ends: Sequence[float], layers: list[Chart], width: int,
                 height: int) -> Chart:  # fmt: skip
    """A panel with the names of its curves beside them; where it is narrow, of several under its title."""
    if width >= WIDE_PX:
        size = (width - NAMES_PX, height)
        return {"title": title, "width": size[0], "height": height, "layer": [*layers, *_names(words, ends, size)]}
    said = [f"{form}: {name}" for form, name in zip(FORMS, words, strict=False)] if len(words) > 1 else []
    return {"title": {"text": title, "subtitle": said}, "width": width, "height": height, "layer": layers}


def named_beside(width: int) -> Chart:
    """What tells a page that names stand beside the curves of a picture so wide, which must not be widened."""
    return {"named": width >= WIDE_PX}


def end_px(value: float, y: Chart, height: int) -> float:
    """Where a value lies in a panel so high [px from the top]."""
    low, high = y["scale"]["domain"]
    return float(height * (1.0 - (value - low) / (high - low)))
