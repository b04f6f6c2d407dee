"""The give-and-gain plane: litres given up against maturity claimed, in years; without evidence the axis says so."""

from __future__ import annotations

import json
from collections.abc import Sequence

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart
from gristwright.records.give_gain import GiveGain, GiveGainPoint

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
NONE_SHOWN = "none shown"
LEAST_YEARS, LANE = 6.0, 0.9


def _datum(letter: str, point: GiveGainPoint, lane: int) -> Chart:
    give, gain = point.given_up_lpa_per_t, point.gained_years
    at = -LANE * (lane + 1)
    return {
        "offer": letter,
        "low": round(give.low, 4),
        "give": round(give.middle, 4),
        "high": round(give.high, 4),
        "shown": gain is not None,
        "gain": at if gain is None else round(gain.middle, 4),
        "gain_low": at if gain is None else round(gain.low, 4),
        "gain_high": at if gain is None else round(gain.high, 4),
    }


def _data(points: Sequence[GiveGainPoint]) -> list[Chart]:
    """Offers without evidence lie under the line of nothing, one below the other, so that their bands can be read."""
    without = [point for point in points if point.gained_years is None]
    return [
        _datum(letter, p, without.index(p) if p in without else 0) for letter, p in zip(LETTERS, points, strict=False)
    ]


def _axis_of_years(top: float, bottom: float, any_shown: bool) -> Chart:
    marks = [mark for mark in look.ticks(0.0, top, 4) if any_shown and mark > 0.0]
    lane = [0.5 * bottom] if bottom < 0.0 else []
    written = [*([NONE_SHOWN] if lane else []), *(f"{mark:g}" for mark in marks)]
    values = [*lane, *marks]
    title = "maturity shown beyond true age, years" if any_shown else "maturity beyond true age"
    return {
        **look.scale_axis(title, values),
        "titlePadding": 16,
        "labelExpr": f"{json.dumps(written)}[indexof({json.dumps(values)}, datum.value)]",
        "grid": any_shown,
    }


def plane_chart(plane: GiveGain, *, width: int = 270, height: int = 190) -> Chart | None:
    """Offers by letter, litres of pure alcohol per tonne given up across, years gained upwards; None without an offer.

    A filled dot has evidence for its years, with both bands; a hollow one lies below the dashed line, where none are
    shown. Sizes are in pixels.
    """
    if not plane.points:
        return None
    data = _data(plane.points)
    any_shown = any(datum["shown"] for datum in data)
    top = max(LEAST_YEARS if any_shown else 0.0, *(datum["gain_high"] for datum in data))
    left, right = min(0.0, *(d["low"] for d in data)), max(0.0, *(d["high"] for d in data))
    room = 0.06 * (right - left) or 1.0
    domain = [left - room, right + room]
    marks = [mark for mark in look.ticks(left, right, 5) if domain[0] <= mark <= domain[1]]
    x: Chart = {
        "type": "quantitative",
        "scale": {"domain": domain, "nice": False},
        "axis": look.scale_axis("litres of pure alcohol given up per tonne", marks),
    }
    lanes = sum(not datum["shown"] for datum in data)
    bottom = -LANE * (lanes + 1) if lanes else 0.0
    y: Chart = {
        "type": "quantitative",
        "scale": {"domain": [bottom, top if any_shown else 1.0], "nice": False},
        "axis": _axis_of_years(top, bottom, any_shown),
    }
    return {
        "description": "Litres given up by each offer against the maturity shown for it",
        "config": look.theme() | {"padding": {"left": 2, "top": 6, "right": 6, "bottom": 16}},
        "width": width,
        "height": height,
        "data": {"values": data},
        "layer": _layers(x, y),
    }


def _layers(x: Chart, y: Chart) -> list[Chart]:
    shown = [{"filter": "datum.shown"}]
    rule = {"type": "rule", "color": look.LEVEL, "strokeWidth": 1.6}
    middle = {"x": {**x, "field": "give"}, "y": {**y, "field": "gain"}}
    fill = {"condition": {"test": "datum.shown", "value": look.LEVEL}, "value": look.PAPER}
    dot = {"type": "point", "size": 70, "stroke": look.LEVEL, "strokeWidth": 1.8, "opacity": 1}
    dashed = {"type": "rule", "color": look.INK, "strokeWidth": 1, "strokeDash": [3, 3]}
    return [
        {"mark": dashed, "encoding": {"y": {**y, "datum": 0}}},
        {"mark": {"type": "rule", "color": look.HAIRLINE, "strokeWidth": 1}, "encoding": {"x": {**x, "datum": 0}}},
        {"mark": rule, "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}, "y": {**y, "field": "gain"}}},
        {
            "transform": shown,
            "mark": rule,
            "encoding": {"x": {**x, "field": "give"}, "y": {**y, "field": "gain_low"}, "y2": {"field": "gain_high"}},
        },
        {"mark": dot, "encoding": {**middle, "fill": fill}},
        {
            "mark": {"type": "text", "dy": -11, "dx": 8, "fontWeight": 600},
            "encoding": {**middle, "text": {"field": "offer"}},
        },
    ]
