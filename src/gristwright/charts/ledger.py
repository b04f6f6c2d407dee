"""The litres ledger: where each litre of pure alcohol per tonne goes, from the sugar in the grain to the bottle."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart
from gristwright.quantities.shown import capital, plain
from gristwright.records.results import Ledger, LedgerRow

UNIT = "litres of pure alcohol (20 °C) per tonne of grist"
DECIMALS = 1


@dataclass(frozen=True)
class DrawnRow:
    """One row as drawn: the level before it, the level after it, and the band of a level."""

    row: LedgerRow
    before: float
    after: float


def staircase(ledger: Ledger) -> list[DrawnRow]:
    """The rows with the running level [L/t] of the reference run before and after each."""
    steps: list[DrawnRow] = []
    level = 0.0
    for row in ledger.rows:
        after = level - row.reference if row.kind == "loss" else row.reference
        steps.append(DrawnRow(row, level if row.kind == "loss" else after, after))
        level = after
    return steps


def row_text(row: LedgerRow) -> str:
    """The reference value of a row as printed: a loss carries its minus sign, a gain among the losses a plus."""
    if row.kind != "loss":
        return plain(row.reference, DECIMALS)
    return ("+" if row.reference < 0.0 else "") + plain(-row.reference, DECIMALS)


def _datum(step: DrawnRow, following: DrawnRow | None) -> Chart:
    row = step.row
    loss = row.kind == "loss"
    right = max(step.before, step.after) if loss else max(row.band.high, step.after)
    return {
        "row": capital(row.label),
        "kind": row.kind,
        "before": round(step.before, 3),
        "after": round(step.after, 3),
        "low": None if loss else round(row.band.low, 3),
        "high": None if loss else round(row.band.high, 3),
        "right": round(right, 3),
        "text": row_text(row),
        "next": capital(following.row.label) if following else None,
    }


def _data(ledger: Ledger) -> list[Chart]:
    steps = staircase(ledger)
    return [_datum(step, after) for step, after in zip(steps, [*steps[1:], None], strict=True)]


def _domain(tables: list[list[Chart]]) -> tuple[float, float, list[float]]:
    """The common scale of all panels; it starts at zero unless all that is shown lies in the upper half."""
    data = [datum for table in tables for datum in table]
    low = min(min(datum["after"], datum["after"] if datum["low"] is None else datum["low"]) for datum in data)
    high = max(datum["right"] for datum in data)
    marks = look.ticks(low if low > 0.5 * high else 0.0, high)
    return marks[0], high + 0.14 * (high - marks[0]), marks


def _y(labels: list[str], shown: bool) -> Chart:
    axis = {"title": None, "domain": False, "ticks": False, "labelPadding": 8} if shown else None
    return {"field": "row", "type": "ordinal", "sort": labels, "scale": {"padding": 0}, "axis": axis}


def _x(title: str, scale: tuple[float, float, list[float]]) -> Chart:
    start = f" (scale starts at {plain(scale[0], 0)})" if scale[0] > 0 else ""
    axis = look.scale_axis(title + start, scale[2])
    return {"field": "after", "type": "quantitative", "scale": {"domain": list(scale[:2]), "nice": False}, "axis": axis}


def _only(*kinds: str) -> list[Chart]:
    return [{"filter": {"field": "kind", "oneOf": list(kinds)}}]


def _layers(x: Chart, row_height: int) -> list[Chart]:
    levels = _only("start", "level")
    thick = max(7, round(row_height * 0.55))
    riser = {"type": "rule", "color": look.QUIET, "strokeDash": [1, 2]}
    block = {"type": "bar", "height": thick, "color": look.LOSS, "stroke": look.INK, "strokeWidth": 0.6}
    words = {"type": "text", "align": "left", "dx": 5}
    right = {"x": {**x, "field": "right"}, "text": {"field": "text"}}
    heavy = {**words, "fontWeight": 600}
    return [
        {
            "transform": [{"filter": "datum.next != null"}],
            "mark": riser,
            "encoding": {"x": {**x, "field": "after"}, "y2": {"field": "next"}},
        },
        {"transform": _only("loss"), "mark": block, "encoding": {"x": x, "x2": {"field": "before"}}},
        {
            "transform": levels,
            "mark": {"type": "rule", "color": look.LEVEL, "strokeWidth": 1.4},
            "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}},
        },
        {
            "transform": levels,
            "mark": {"type": "tick", "color": look.LEVEL, "opacity": 1, "thickness": 4, "size": thick + 3},
            "encoding": {"x": {**x, "field": "after"}},
        },
        {"transform": levels, "mark": heavy, "encoding": right},
        {"transform": _only("loss"), "mark": words, "encoding": right},
    ]


def _panel(name: str, data: list[Chart], x: Chart, row_labels: bool, row_height: int, width: int) -> Chart:
    labels = [datum["row"] for datum in data]
    panel: Chart = {
        "width": width,
        "height": row_height * len(labels),
        "data": {"values": data},
        "encoding": {"y": _y(labels, row_labels)},
        "layer": _layers(x, row_height),
    }
    return {**panel, "title": name} if name else panel


def ledger_chart(
    present: Ledger,
    other: Ledger | None = None,
    names: tuple[str, str] = ("", ""),
    *,
    row_labels: bool = True,
    row_height: int = 20,
    width: int = 360,
    axis_title: str = UNIT,
) -> Chart:
    """A descending staircase of the reference run, a whisker on each level; a second bill stands beside it.

    Blocks are losses, heavy ticks are levels, both labelled in litres of pure alcohol per tonne; all panels share one
    scale. `row_height` and `width` are in pixels.
    """
    tables = [_data(ledger) for ledger in (present, other) if ledger is not None]
    x = _x(axis_title, _domain(tables))
    panels = [
        _panel(name, data, x, row_labels and number == 0, row_height, width)
        for number, (name, data) in enumerate(zip(names, tables, strict=False))
    ]
    description = "Where each litre of pure alcohol per tonne of grist goes, from the sugar in the grain to the bottle"
    body = panels[0] if len(panels) == 1 else {"hconcat": panels}
    return {"description": description, "config": look.theme(), **body}
