"""A grid of plans for one bill: two settings as heat maps, one setting as lines with bands. See docs/vary.md."""

from __future__ import annotations

import math
from collections.abc import Sequence

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart
from gristwright.quantities.shown import NOTHING, capital, plain
from gristwright.records.mash_trials import Axis, PlanCell, Variation

MARGIN = "margin"
MARGIN_TITLE = "Worst board not in order, % of the runs"
PALE = "#eef2f3"
LIGHT_WORDS = 0.5  # words are light where the ground is darker than this share
MOST_WRITTEN = 12  # columns whose cells still hold their number
COLUMNS = 2


def axis_title(axis: Axis) -> str:
    """A setting as an axis names it."""
    return f"{axis.setting.meaning}, {axis.setting.unit.replace('deg', '°')}"


def _titles(variation: Variation) -> dict[str, tuple[str, int]]:
    """Title and decimals of every panel; none of a figure that no plan has."""
    figures = {
        key: (f"{capital(one.label)}, {one.unit.replace('deg', '°')}", one.decimals)
        for key, one in variation.named.items()
        if variation.has(key)
    }
    return {**figures, MARGIN: (MARGIN_TITLE, 0)}


def value_of(cell: PlanCell, key: str) -> float:
    """The middle of a figure, or the margin in per cent; NaN for a plan that cannot be or whose litres are withheld."""
    if cell.cannot:
        return math.nan
    if key == MARGIN:
        return 100.0 * cell.margin
    return cell.figures[key].band.middle if key in cell.figures else math.nan


def _stands_there(cell: PlanCell, today: Sequence[float | None]) -> bool:
    return all(now is not None and abs(v - now) < 1e-6 for v, now in zip(cell.values, today, strict=True))


def _datum(cell: PlanCell, key: str, decimals: int, today: Sequence[float | None]) -> Chart:
    value = value_of(cell, key)
    sure = key in cell.changes and not cell.changes[key].band.includes_zero
    return {
        "x": f"{cell.values[0]:g}",
        "y": f"{cell.values[1]:g}",
        "value": None if math.isnan(value) else round(value, 4),
        "text": "×" if cell.cannot else plain(value, decimals),
        "cannot": math.isnan(value),
        "sure": bool(sure),
        "today": _stands_there(cell, today),
    }


def _map(variation: Variation, key: str, title: str, decimals: int, size: tuple[int, int]) -> Chart:
    across, up = variation.axes
    data = [_datum(cell, key, decimals, variation.standing) for cell in variation.cells]
    values = [datum["value"] for datum in data if datum["value"] is not None] or [0.0]
    low, high = min(values), max(values)
    flat = high - low < 0.5 * 10.0**-decimals
    for datum in data:
        datum["share"] = None if datum["value"] is None else 0.0 if flat else (datum["value"] - low) / (high - low)
        datum["dark"] = (datum["share"] or 0.0) > LIGHT_WORDS
    bare = {"domain": False, "ticks": False, "labelAngle": 0, "grid": False}
    columns, rows = ([f"{v:g}" for v in axis.values] for axis in variation.axes)
    x = {"field": "x", "type": "ordinal", "sort": columns, "axis": {**bare, "title": axis_title(across)}}
    y = {"field": "y", "type": "ordinal", "sort": rows[::-1], "axis": {**bare, "title": axis_title(up)}}
    ends = "" if flat else f"palest {plain(low, decimals)}, darkest {plain(high, decimals)}"
    return {
        "title": {"text": title, "subtitle": ends} if ends else title,
        "width": size[0] * len(columns),
        "height": size[1] * len(rows),
        "data": {"values": data},
        "encoding": {"x": x, "y": y},
        "layer": _map_layers(len(columns) <= MOST_WRITTEN),
    }


def _map_layers(written: bool) -> list[Chart]:
    # Every panel carries its own share from 0 to 1, so that one scale serves all.
    scale = {"domain": [0.0, 1.0], "range": [PALE, look.LEVEL], "interpolate": "lab"}
    fill = {"field": "share", "type": "quantitative", "scale": scale, "legend": None}
    ground = {"type": "rect", "stroke": look.PAPER, "strokeWidth": 1.5}
    none = {"type": "rect", "fill": look.PAPER, "stroke": look.HAIRLINE, "strokeWidth": 1}
    frame = {"type": "rect", "fill": None, "stroke": look.LOSS, "strokeWidth": 3}
    colour = {"condition": {"test": "datum.dark && !datum.cannot", "value": look.PAPER}, "value": look.INK}
    layers: list[Chart] = [
        {"transform": [{"filter": "!datum.cannot"}], "mark": ground, "encoding": {"color": fill}},
        {"transform": [{"filter": "datum.cannot"}], "mark": none},
    ]
    for flag, weight in (("datum.sure", 700), ("!datum.sure", 400)):
        shown = f"{flag} && {'true' if written else 'datum.cannot'}"
        words = {"type": "text", "fontWeight": weight}
        encoding = {"text": {"field": "text"}, "color": colour}
        layers.append({"transform": [{"filter": shown}], "mark": words, "encoding": encoding})
    layers.append({"transform": [{"filter": "datum.today"}], "mark": frame})
    return layers


def heat_map(
    variation: Variation,
    *,
    cell_width: int = 46,
    cell_height: int = 24,
    keys: Sequence[str] | None = None,
    beside: int = COLUMNS,
) -> Chart:
    """One map a figure over two settings, so many beside each other: the darker, the more. Of `keys` alone where given.

    Bold is a middle that surely differs from the plan as it stands; a frame is that plan where it lies on the grid; a
    cross is a plan that cannot be. Sizes of a cell in pixels.
    """
    across, up = variation.axes
    wide = max(14, min(cell_width, 560 // len(across.values))) if len(across.values) > MOST_WRITTEN else cell_width
    size = (wide, max(12, min(cell_height, 480 // len(up.values))))
    titles = {key: said for key, said in _titles(variation).items() if keys is None or key in keys}
    panels = [_map(variation, key, title, decimals, size) for key, (title, decimals) in titles.items()]
    beside = beside if size[0] * len(across.values) <= 420 else 1
    rows = [{"hconcat": panels[k : k + beside]} for k in range(0, len(panels), beside)]
    return _whole(variation, rows, _key_of_maps(variation, len(across.values) <= MOST_WRITTEN))


def _key_of_maps(variation: Variation, written: bool) -> str:
    """What the marks mean that are there."""
    said = ["darker: more"]
    said += ["bold: surely other than the plan as it stands"] if written else []
    framed = any(_stands_there(cell, variation.standing) for cell in variation.cells)
    said += ["frame: the plan as it stands"] if framed else []
    return "; ".join([*said, *_missing(variation)])


def _missing(variation: Variation) -> list[str]:
    """What stands where a plan has no figure."""
    said = ["×: cannot be"] if any(cell.cannot for cell in variation.cells) else []
    return said + (
        [f"{NOTHING}: withheld, the mash may not convert"] if any(c.withheld for c in variation.cells) else []
    )


def _whole(variation: Variation, rows: list[Chart], subtitle: str) -> Chart:
    said = [
        f"{axis.setting.meaning} {plain(now, 1)} {axis.setting.unit.replace('deg', '°')}"
        for axis, now in zip(variation.axes, variation.standing, strict=True)
        if now is not None
    ]
    lines = [subtitle, *([f"the plan as it stands: {', '.join(said)}"] if said else [])]
    return {
        "title": {"text": f"{variation.bill}, {variation.house}", "subtitle": lines},
        "description": f"What {variation.bill} gives over {' and '.join(a.setting.meaning for a in variation.axes)}",
        "config": look.theme() | {"padding": {"left": 4, "top": 4, "right": 10, "bottom": 8}},
        "vconcat": rows,
    }


def setting_lines(variation: Variation, *, width: int = 250, height: int = 150) -> Chart:
    """One panel a figure over one setting: a line for the middle, a band from 5 to 95 %, today's plan dashed.

    A cross on the axis is a value whose plan cannot be, a dash one whose litres are withheld. Sizes in pixels.
    """
    panels = [_line_panel(variation, key, title, (width, height)) for key, (title, _) in _titles(variation).items()]
    rows = [{"hconcat": panels[k : k + COLUMNS]} for k in range(0, len(panels), COLUMNS)]
    said = ["line: middle", "band: 5 to 95 %", "dashed: the plan as it stands", *_missing(variation)]
    return _whole(variation, rows, "; ".join(said))


def _line_data(cells: Sequence[PlanCell], key: str) -> list[Chart]:
    data = []
    for cell in cells:
        value = value_of(cell, key)
        if math.isnan(value):
            continue
        band = None if key == MARGIN else cell.figures[key].band
        ends = (value, value) if band is None else (band.low, band.high)
        data.append({"at": cell.values[0], "middle": round(value, 4), "low": ends[0], "high": ends[1]})
    return data


def _line_panel(variation: Variation, key: str, title: str, size: tuple[int, int]) -> Chart:
    axis = variation.axes[0]
    data, now = _line_data(variation.cells, key), value_of(variation.today, key)
    least, most = min(axis.values), max(axis.values)
    marks = [mark for mark in look.ticks(least, most, 6) if mark >= least - 1e-9]
    scale = {"domain": [least, most], "nice": False, "padding": 6}
    x: Chart = {"type": "quantitative", "scale": scale, "axis": look.scale_axis(axis_title(axis), marks)}
    stands = [] if math.isnan(now) else [now]
    y = _scale([datum[end] for datum in data for end in ("low", "high")] + stands or [0.0], key)
    cannot = [
        {"at": cell.values[0], "text": "×" if cell.cannot else NOTHING}
        for cell in variation.cells
        if math.isnan(value_of(cell, key))
    ]
    across = {**x, "field": "at"}
    return {
        "title": title,
        "width": size[0],
        "height": size[1],
        "layer": [
            {"data": {"values": data}, "mark": {"type": "area", "color": look.LOSS, "opacity": 0.38},
             "encoding": {"x": across, "y": {**y, "field": "low"}, "y2": {"field": "high"}}},
            {"data": {"values": data},
             "mark": {"type": "line", "color": look.LEVEL, "strokeWidth": 1.8,
                      "point": {"color": look.LEVEL, "size": 26, "filled": True}},
             "encoding": {"x": across, "y": {**y, "field": "middle"}}},
            *({"data": {"values": [{}]},
               "mark": {"type": "rule", "color": look.INK, "strokeWidth": 1, "strokeDash": [5, 3]},
               "encoding": {"y": {**y, "datum": value}}} for value in stands),
            {"data": {"values": cannot},
             "mark": {"type": "text", "fontSize": 15, "fontWeight": 700, "color": look.QUIET},
             "encoding": {"x": across, "y": {"value": size[1] - 8}, "text": {"field": "text"}}},
        ],
    }  # fmt: skip


def _scale(values: Sequence[float], key: str) -> Chart:
    """From zero where all that is shown does not lie in the upper half; a share never beyond a hundred."""
    low, high = min(values), max(values)
    marks = look.ticks(low if high > low > 0.5 * high else 0.0, high, 4)
    if marks[-1] < high and len(marks) > 1 and not (key == MARGIN and marks[-1] >= 100.0):
        marks.append(round(2 * marks[-1] - marks[-2], 10))
    top = marks[-1] if marks[-1] > marks[0] else marks[0] + 1.0
    return {
        "type": "quantitative",
        "scale": {"domain": [marks[0], top], "nice": False},
        "axis": look.scale_axis("", marks),
    }


def variation_chart(variation: Variation) -> Chart:
    """The picture of a grid: heat maps for two settings, lines for one."""
    return heat_map(variation) if len(variation.axes) > 1 else setting_lines(variation)
