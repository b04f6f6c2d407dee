"""A cask's fan and a stock by age: what is in wood year by year, with how sure that is. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

from gristwright.basics import Band
from gristwright.charts import theme as look
from gristwright.charts.fonts import FAMILY
from gristwright.charts.theme import Chart
from gristwright.records.stock import CaskForecast, StockForecast

# From young to old, from light to dark, so that it holds in black and white.
SHADES = ("#e8dcc6", "#d99a4e", "#a8713a", "#6b7f86", "#3d6675", "#17404f")


def year_of(day: dt.date) -> float:
    """A day as a year with its part."""
    return day.year + (day.timetuple().tm_yday - 1) / 365.25


def _points(marks: Sequence[dt.date], bands: Sequence[Band]) -> list[Chart]:
    return [
        {
            "year": round(year_of(mark), 3),
            "low": round(b.low, 3),
            "middle": round(b.middle, 3),
            "high": round(b.high, 3),
        }
        for mark, b in zip(marks, bands, strict=True)
        if math.isfinite(b.middle)
    ]


def _gauged(cask: CaskForecast, key: str) -> list[Chart]:
    stock = cask.cask
    known = [(stock.filled, stock.fill_L, stock.fill_abv_pct)]
    known += [(event.date, event.litres, event.abv_pct) for event in stock.gauges]
    return [
        {"year": round(year_of(day), 3), "value": round(litres * abv / 100.0 if key == "rla" else abv, 3)}
        for day, litres, abv in known
    ]


def _joined(gauged: list[Chart], fan: list[Chart]) -> list[Chart]:
    """The gauges and the forecast of today, which the dashed line leads to."""
    return [*gauged, *({"year": point["year"], "value": point["middle"]} for point in fan[:1])]


def _scale(values: Sequence[float], from_zero: bool) -> tuple[list[float], list[float]]:
    low, high = (0.0 if from_zero else min(values)), max(values)
    marks = look.ticks(low, high, 5)
    if marks[-1] < high:
        marks.append(round(2 * marks[-1] - marks[-2], 10))
    return [marks[0], marks[-1]], marks


def _years(first: float, last: float) -> Chart:
    marks = [mark for mark in look.ticks(math.floor(first), math.ceil(last), 5) if mark >= math.floor(first)]
    axis = {"title": None, "values": marks, "format": "d", "domain": False, "ticks": False}
    return {
        "type": "quantitative",
        "scale": {"domain": [math.floor(first), math.ceil(last)], "nice": False},
        "axis": axis,
    }


def _panel(
    title: str,
    unit: str,
    fan: list[Chart],
    gauged: list[Chart],
    floor: float | None,
    size: tuple[int, int],
    span: tuple[float, float],
) -> Chart:
    values = [point[key] for point in fan for key in ("low", "high")] + [point["value"] for point in gauged]
    values += [floor] if floor is not None else []
    domain, marks = _scale(values, from_zero=floor is None)
    x = _years(*span)
    y: Chart = {
        "type": "quantitative",
        "scale": {"domain": domain, "nice": False},
        "axis": look.scale_axis(unit, marks),
    }
    across = {**x, "field": "year"}
    layers: list[Chart] = [
        {
            "data": {"values": fan},
            "mark": {"type": "area", "color": look.LOSS, "opacity": 0.38},
            "encoding": {"x": across, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
        },
        {
            "data": {"values": fan},
            "mark": {"type": "line", "color": look.LEVEL, "strokeWidth": 1.8},
            "encoding": {"x": across, "y": {**y, "field": "middle"}},
        },
        {
            "data": {"values": _joined(gauged, fan)},
            "mark": {"type": "line", "color": look.QUIET, "strokeWidth": 1, "strokeDash": [2, 2]},
            "encoding": {"x": across, "y": {**y, "field": "value"}},
        },
        {
            "data": {"values": gauged},
            "mark": {"type": "point", "shape": "diamond", "size": 46, "filled": True, "color": look.INK, "opacity": 1},
            "encoding": {"x": across, "y": {**y, "field": "value"}},
        },
    ]
    if floor is not None:
        rule = {"type": "rule", "color": look.INK, "strokeWidth": 1, "strokeDash": [6, 3]}
        layers.append({"data": {"values": [{}]}, "mark": rule, "encoding": {"y": {**y, "datum": floor}}})
    return {"title": title, "width": size[0], "height": size[1], "layer": layers}


def cask_chart(cask: CaskForecast, *, width: int = 250, height: int = 150) -> Chart:
    """A cask's pure alcohol and strength: diamonds as gauged, a line and its band from 5 to 95 % as forecast."""
    size, span = (width, height), (year_of(cask.cask.filled), year_of(cask.marks[-1]))
    return {
        "description": (
            f"Pure alcohol and strength of cask {cask.cask.cask_id}: gauged up to today, then forecast with its band"
        ),
        "config": look.theme(),
        "hconcat": [
            _panel(
                "Pure alcohol", "L at 20 °C", _points(cask.marks, cask.rla_L), _gauged(cask, "rla"), None, size, span
            ),
            _panel(
                f"Strength and the floor of {cask.floor_abv_pct:g} %vol",
                "%vol at 20 °C",
                _points(cask.marks, cask.abv_pct),
                _gauged(cask, "abv"),
                cask.floor_abv_pct,
                size,
                span,
            ),
        ],
    }


def stock_chart(stock: StockForecast, *, width: int = 520, height: int = 240) -> Chart:
    """A stock's pure alcohol year by year: bars by age of the youngest, a whisker for the whole."""
    titles = [title for title, row in stock.by_age.items() if any(value > 0.0 for value in row)]
    years = [str(mark.year) for mark in stock.marks]
    bars = [
        {"year": year, "age": title, "litres": round(value, 2), "order": number}
        for number, title in enumerate(titles)
        for year, value in zip(years, stock.by_age[title], strict=True)
    ]
    whole = [{"year": year, "low": b.low, "high": b.high} for year, b in zip(years, stock.rla_L, strict=True)]
    domain, marks = _scale([b.high for b in stock.rla_L], from_zero=True)
    shades = list(SHADES[len(SHADES) - len(titles) :])
    axis = look.scale_axis("litres of pure alcohol at 20 °C", marks)
    every = max(1, math.ceil(len(years) / 11))
    x: Chart = {
        "field": "year",
        "type": "ordinal",
        "axis": {"title": None, "labelAngle": 0, "ticks": False, "domain": False, "values": years[::every]},
    }
    y: Chart = {"type": "quantitative", "scale": {"domain": domain, "nice": False}, "axis": axis}
    legend = {"title": "youngest in wood", "labelFont": FAMILY, "titleFont": FAMILY, "symbolType": "square"}
    colour = {"field": "age", "type": "nominal", "sort": titles, "scale": {"domain": titles, "range": shades}}
    return {
        "description": "Pure alcohol in the stock year by year, by age of the youngest component in each cask",
        "config": look.theme(),
        "width": width,
        "height": height,
        "layer": [
            {
                "data": {"values": bars},
                "mark": {"type": "bar", "stroke": look.PAPER, "strokeWidth": 0.5},
                "encoding": {
                    "x": x,
                    "y": {**y, "field": "litres", "stack": "zero"},
                    "color": {**colour, "legend": legend},
                    "order": {"field": "order"},
                },
            },
            {
                "data": {"values": whole},
                "mark": {"type": "rule", "color": look.LOSS, "strokeWidth": 3},
                "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
            },
        ],
    }
