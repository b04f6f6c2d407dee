"""The look of every chart: ink on paper, one accent, told apart by form and lightness before colour."""

from __future__ import annotations

import json
from typing import Any, TypeAlias

from gristwright.charts.fonts import FAMILY
from gristwright.quantities.shown import plain

Chart: TypeAlias = dict[str, Any]

INK = "#1d2529"
QUIET = "#5b666b"
HAIRLINE = "#c9cfd1"
PAPER = "#ffffff"
LEVEL = "#17404f"  # dark: what is there
LOSS = "#d99a4e"  # light: what went; differs from LEVEL in lightness, so it holds in black and white
FONT_SIZE = 11


def theme() -> Chart:
    """The Vega-Lite config every chart carries."""
    words = {"labelFont": FAMILY, "titleFont": FAMILY, "labelColor": INK, "titleColor": QUIET}
    return {
        "background": PAPER,
        "padding": {"left": 2, "top": 2, "right": 2, "bottom": 6},
        "font": FAMILY,
        "view": {"stroke": None},
        "axis": {
            **words,
            "labelFontSize": FONT_SIZE,
            "titleFontSize": FONT_SIZE,
            "titleFontWeight": "normal",
            "gridColor": "#e6e9ea",
            "domainColor": HAIRLINE,
            "tickColor": HAIRLINE,
            "labelLimit": 600,
        },
        "title": {
            "font": FAMILY,
            "fontSize": FONT_SIZE + 1,
            "fontWeight": 600,
            "color": INK,
            "anchor": "start",
            "subtitleFont": FAMILY,
            "subtitleFontSize": FONT_SIZE,
            "subtitleColor": QUIET,
            "offset": 8,
        },
        "text": {"font": FAMILY, "fontSize": FONT_SIZE, "color": INK},
        "concat": {"spacing": 26},
    }


def nice_step(span: float, most: int = 5) -> float:
    """A round distance between ticks, so that no more than `most` cover the span."""
    raw = span / most if span > 0 else 1.0
    power = 10.0 ** (len(f"{int(raw)}") - 1) if raw >= 1 else 1.0
    while power > raw:
        power /= 10.0
    return next((power * factor for factor in (1.0, 2.0, 5.0, 10.0) if power * factor >= raw), raw)


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round values from the last one at or below `low` to the last one at or below `high`."""
    step = nice_step(high - low, most)
    first = int(low // step)
    values = [round(number * step, 10) for number in range(first, first + most + 3)]
    return [value for value in values if value <= high + 1e-9]


def scale_axis(title: str, values: list[float]) -> Chart:
    """A bare axis whose ticks are written as numbers are written everywhere else."""
    places = max((_places(value) for value in values), default=0)
    written = json.dumps([plain(value, places) for value in values], ensure_ascii=False, allow_nan=False)
    return {
        "title": title,
        "values": values,
        "labelExpr": f"{written}[indexof({json.dumps(values, allow_nan=False)}, datum.value)]",
        "domain": False,
        "ticks": False,
    }


def _places(value: float) -> int:
    return next((places for places in range(6) if abs(value - round(value, places)) < 1e-9), 6)
