"""What each offer changes against the present bill: a dot and a line for every difference, and the line of nothing."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart
from gristwright.quantities.shown import capital, signed
from gristwright.records.results import Figure, Offer

PANELS = 3
HALO = {"stroke": look.PAPER, "strokeWidth": 3, "color": look.PAPER}


def lettered(letter: str) -> str:
    """How a bill is called: an offer by its letter, another by its name."""
    return f"Offer {letter}" if len(letter) == 1 else letter


def _datum(letter: str, figure: Figure) -> Chart:
    band = figure.band
    return {
        "offer": lettered(letter),
        "low": round(band.low, 6),
        "middle": round(band.middle, 6),
        "high": round(band.high, 6),
        "text": signed(band.middle, figure.decimals),
        "clear": not band.includes_zero,
    }


def change_keys(offers: Sequence[tuple[str, Offer]], wanted: Sequence[str] = ()) -> list[str]:
    """Up to three differences every offer carries: those wanted, or the first that come."""
    shared = [key for key in offers[0][1].changes if all(key in one.changes for _, one in offers)] if offers else []
    chosen = [key for key in wanted if key in shared] or shared
    return chosen[:PANELS]


def _domain(data: list[Chart]) -> tuple[list[float], list[float]]:
    low = min(0.0, *(datum["low"] for datum in data))
    high = max(0.0, *(datum["high"] for datum in data))
    room = 0.06 * (high - low) or 1.0
    marks = look.ticks(low, high, 4)
    inside = [mark for mark in marks if low - room <= mark <= high + room]
    return [low - room, high + room], inside


def _layers(x: Chart) -> list[Chart]:
    dot = {"type": "point", "size": 62, "filled": False, "strokeWidth": 1.8, "stroke": look.LEVEL, "opacity": 1}
    fill = {
        "condition": {"test": "datum.clear", "value": look.LEVEL},
        "value": look.PAPER,
    }
    middle = {**x, "field": "middle"}
    number = {"type": "text", "dy": -11, "fontWeight": 600}
    return [
        {
            "mark": {"type": "rule", "color": look.INK, "strokeWidth": 1.2},
            "encoding": {"x": {**x, "datum": 0}, "y": None},
        },
        {
            "mark": {"type": "rule", "color": look.LEVEL, "strokeWidth": 2},
            "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}},
        },
        {"mark": dot, "encoding": {"x": middle, "fill": fill}},
        # On a thin halo of paper, for the line of no change runs through some of them.
        *({"mark": {**number, **ink}, "encoding": {"x": middle, "text": {"field": "text"}}} for ink in (HALO, {})),
    ]


def _panel(offers: Sequence[tuple[str, Offer]], key: str, first: bool, row_height: int, width: int) -> Chart:
    data = [_datum(letter, offer.changes[key]) for letter, offer in offers]
    domain, marks = _domain(data)
    axis = look.scale_axis(offers[0][1].changes[key].unit, marks)
    x: Chart = {"type": "quantitative", "scale": {"domain": domain, "nice": False}, "axis": axis}
    rows = {"title": None, "domain": False, "ticks": False, "labelPadding": 8} if first else None
    order = [datum["offer"] for datum in data]
    return {
        "title": capital(offers[0][1].changes[key].label),
        "width": width,
        "height": row_height * len(data),
        "data": {"values": data},
        "encoding": {"y": {"field": "offer", "type": "ordinal", "sort": order, "axis": rows}},
        "layer": _layers(x),
    }


def changes_chart(
    offers: Sequence[tuple[str, Offer]], keys: Sequence[str] = (), *, row_height: int = 27, width: int = 190
) -> Chart | None:
    """The differences of bills, each by what it is called, against the present one, one panel a quantity; None without.

    A filled dot marks a difference whose band leaves zero out; a hollow one may be nothing. Sizes are in pixels.
    """
    chosen = change_keys(offers, keys)
    if not chosen:
        return None
    panels = [_panel(offers, key, number == 0, row_height, width) for number, key in enumerate(chosen)]
    return {
        "description": "Differences of each bill against the present one, with their bands",
        "config": look.theme(),
        "hconcat": panels,
    }
