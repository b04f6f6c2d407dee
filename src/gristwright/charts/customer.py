"""The customer's one picture: a dot and a line for each bill or way, its number beside it. See docs/documents.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart


@dataclass(frozen=True)
class PictureLine:
    """One line of the picture as it is written; `low` and `high` are the ends of its band."""

    label: str
    value: float
    low: float
    high: float
    text: str
    today: bool


def customer_chart(title: str, lines: Sequence[PictureLine], *, row_height: int = 30, width: int = 360) -> Chart:
    """The lines beside each other; today's has a square, hollow mark, so that it is known without colour."""
    data = [vars(line) | {"row": number} for number, line in enumerate(lines)]
    low, high = min(line.low for line in lines), max(line.high for line in lines)
    room = 0.08 * (high - low) or 1.0
    x: Chart = {
        "type": "quantitative",
        "scale": {"domain": [low - room, high + room], "nice": False, "zero": False},
        "axis": None,
    }
    shape: Chart = {"condition": {"test": "datum.today", "value": "square"}, "value": "circle"}
    fill: Chart = {"condition": {"test": "datum.today", "value": look.PAPER}, "value": look.LEVEL}
    dot = {"type": "point", "size": 74, "strokeWidth": 1.8, "stroke": look.LEVEL, "opacity": 1}
    names = {"title": None, "domain": False, "ticks": False, "labelPadding": 8, "labelLimit": 300}
    return {
        "description": f"{title}: " + "; ".join(f"{line.label} {line.text}" for line in lines),
        "config": look.theme(),
        "width": width,
        "height": row_height * len(lines),
        "data": {"values": data},
        "encoding": {
            "y": {"field": "label", "type": "ordinal", "sort": [line.label for line in lines], "axis": names},
        },
        "layer": [
            {
                "mark": {"type": "rule", "color": look.LEVEL, "strokeWidth": 2},
                "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}},
            },
            {"mark": dot, "encoding": {"x": {**x, "field": "value"}, "shape": shape, "fill": fill}},
            {
                "mark": {"type": "text", "dy": -11, "fontWeight": 600},
                "encoding": {"x": {**x, "field": "value"}, "text": {"field": "text"}},
            },
        ],
    }
