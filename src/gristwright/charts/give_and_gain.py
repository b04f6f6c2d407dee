"""The give-and-gain plane: litres given up against maturity shown, in years, of offers with evidence."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart
from gristwright.records.give_gain import GiveGain, GiveGainPoint

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LEAST_YEARS = 6.0


def shown_points(plane: GiveGain) -> list[tuple[str, GiveGainPoint]]:
    """The offers that evidence speaks of, each with its letter: what can be drawn."""
    lettered = zip(LETTERS, plane.points, strict=False)
    return [(letter, point) for letter, point in lettered if point.gained_years is not None]


def _datum(letter: str, point: GiveGainPoint) -> Chart:
    give, gain = point.given_up_lpa_per_t, point.gained_years
    assert gain is not None
    return {
        "offer": letter,
        "low": round(give.low, 4),
        "give": round(give.middle, 4),
        "high": round(give.high, 4),
        "gain": round(gain.middle, 4),
        "gain_low": round(gain.low, 4),
        "gain_high": round(gain.high, 4),
    }


def plane_chart(plane: GiveGain, *, width: int = 270, height: int = 190) -> Chart | None:
    """Offers by letter, litres of pure alcohol per tonne given up across, years gained upwards, both with their bands.

    An offer of which nothing was shown has no place on it; None where that is every offer. Sizes are in pixels.
    """
    points = shown_points(plane)
    if not points:
        return None
    data = [_datum(letter, point) for letter, point in points]
    x, years = _x(data), [datum[end] for datum in data for end in ("gain_low", "gain_high")]
    bottom, top = min(0.0, *years), max(LEAST_YEARS, *years)
    marks = [mark for mark in look.ticks(bottom, top, 4) if mark >= bottom]
    y: Chart = {
        "type": "quantitative",
        "scale": {"domain": [bottom, top], "nice": False},
        "axis": {**look.scale_axis("maturity shown beyond true age, years", marks), "titlePadding": 16},
    }
    return {
        "description": "Litres given up by each offer against the maturity shown for it",
        "config": look.theme() | {"padding": {"left": 2, "top": 6, "right": 6, "bottom": 16}},
        "width": width,
        "height": height,
        "data": {"values": data},
        "layer": _layers(x, y),
    }


def _x(data: Sequence[Chart]) -> Chart:
    left, right = min(0.0, *(d["low"] for d in data)), max(0.0, *(d["high"] for d in data))
    room = 0.06 * (right - left) or 1.0
    domain = [left - room, right + room]
    marks = [mark for mark in look.ticks(left, right, 5) if domain[0] <= mark <= domain[1]]
    return {
        "type": "quantitative",
        "scale": {"domain": domain, "nice": False},
        "axis": look.scale_axis("litres of pure alcohol given up per tonne", marks),
    }


def _layers(x: Chart, y: Chart) -> list[Chart]:
    rule = {"type": "rule", "color": look.LEVEL, "strokeWidth": 1.6}
    middle = {"x": {**x, "field": "give"}, "y": {**y, "field": "gain"}}
    dot = {"type": "point", "size": 70, "stroke": look.LEVEL, "fill": look.LEVEL, "strokeWidth": 1.8, "opacity": 1}
    dashed = {"type": "rule", "color": look.INK, "strokeWidth": 1, "strokeDash": [3, 3]}
    return [
        {"mark": dashed, "encoding": {"y": {**y, "datum": 0}}},
        {"mark": {"type": "rule", "color": look.HAIRLINE, "strokeWidth": 1}, "encoding": {"x": {**x, "datum": 0}}},
        {"mark": rule, "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}, "y": {**y, "field": "gain"}}},
        {
            "mark": rule,
            "encoding": {"x": {**x, "field": "give"}, "y": {**y, "field": "gain_low"}, "y2": {"field": "gain_high"}},
        },
        {"mark": dot, "encoding": middle},
        {
            "mark": {"type": "text", "dy": -11, "dx": 8, "fontWeight": 600},
            "encoding": {**middle, "text": {"field": "offer"}},
        },
    ]
