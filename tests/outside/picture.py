"""One picture a room: how far ours lies from each published number, in multiples of what a decision needs."""

from __future__ import annotations

import hashlib
import json
import math
import struct
import zlib
from collections.abc import Sequence

from gristwright.charts import theme as look
from gristwright.charts.render import picture
from gristwright.charts.theme import Chart
from outside.rows import Need, Outcome, Row

DRAWN = ("validation", "published, used")
WIDTH, ROW, MARK, PAD = 430, 11.0, 10.0, 9.0  # pixels: the axis, one level of marks, a mark, above and below a lane
NUMBER = 7.0  # pixels for each digit beside a mark
DEEPEST = 132.0  # pixels that marks at one place may take; more than twelve of them stand closer
WORDS, TALLY = 290, 92  # pixels for what a lane is called and how many miss, alike in all pictures
SIDE = "White marks had a part in making the model and do not count."
FINE = 0.1  # of a need: below it the axis is nearly straight, above it nearly logarithmic
TICKS = (0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0)
LEAST_REACH = 3.0
BAND = "#e6e9ea"
SHAPES = {Outcome.ROUNDING: "circle", Outcome.NEED: "square", Outcome.MISS: "diamond"}
KEYWORD = b"drawn from"
SIGNATURE, CHUNK_OVERHEAD = 8, 12  # bytes of a PNG before its first chunk, and of a chunk beside its content


def stretched(needs: float) -> float:
    """A place on the axis: straight near nothing, logarithmic far out, the same to both sides."""
    return math.copysign(math.log10(1.0 + abs(needs) / FINE), needs)


def reach(rows: Sequence[Row]) -> float:
    """How many needs the axis of all pictures shows to either side; never less than three."""
    sizes = [abs(row.in_needs()) for row in rows if row.group in DRAWN]
    return max([LEAST_REACH, *(1.3 * size for size in sizes if math.isfinite(size))])


def drawn(rows: Sequence[Row], room: str) -> list[Row]:
    """The rows of a room that its picture shows."""
    return [row for row in rows if row.room == room and row.group in DRAWN and math.isfinite(row.in_needs())]


def _levels(spans: Sequence[tuple[float, float]]) -> list[int]:
    """The lowest free level for each span of pixels, so that no mark hides another."""
    ends: list[float] = []
    levels = []
    for left, right in spans:
        level = next((at for at, end in enumerate(ends) if left >= end), len(ends))
        ends[level:] = [right, *ends[level + 1 :]]
        levels.append(level)
    return levels


def _datum(row: Row, numbers: dict[str, int]) -> Chart:
    off = float(f"{row.in_needs():.3g}")
    counts = row.group == "validation"
    number = str(numbers[row.id]) if row.id in numbers else ""
    return {
        "id": row.id,
        "at": round(stretched(off), 4) + 0.0,  # never a zero below zero
        "outcome": row.judged().value,
        "counts": counts,
        "number": number,
    }


def _lane(
    need: Need, rows: Sequence[Row], numbers: dict[str, int], top: float, limit: float
) -> tuple[Chart, list[Chart]]:
    """A quantity's lane and its marks, each with the height at which it stands."""
    marks = sorted((_datum(row, numbers) for row in rows), key=lambda mark: (mark["at"], mark["counts"], mark["id"]))
    per_unit = WIDTH / (2.0 * limit)
    spans = [(mark["at"] * per_unit, mark["at"] * per_unit + MARK + NUMBER * len(mark["number"])) for mark in marks]
    levels = _levels(spans)
    # Two lines of words need room for two levels.
    most = max(levels) + 1
    step = min(ROW, DEEPEST / most)
    height = 2.0 * PAD + max(step * most, 2.0 * ROW)
    middle = top + 0.5 * height
    for mark, level in zip(marks, levels, strict=True):
        mark["y"] = round(middle + step * (level - 0.5 * (most - 1)), 2)
    counting = [row for row in rows if row.group == "validation"]
    missing = sum(row.judged() is Outcome.MISS for row in counting)
    tally = f"{missing} of {len(counting)} miss" if counting else "none counts"
    lane = {"what": need.what, "need": f"need: {need.said()}", "tally": tally, "y": round(middle, 2)}
    return lane | {"foot": round(top + height, 2)}, marks


def room_chart(rows: Sequence[Row], room: str, numbers: dict[str, int], furthest: float) -> Chart | None:
    """Every published number of a room in a lane of its quantity; None when the room has none.

    `numbers` names the rows that miss; `furthest` is the reach of the axis [needs], the same for all rooms.
    """
    mine = drawn(rows, room)
    limit = round(stretched(furthest), 4)
    lanes, marks, top = [], [], 0.0
    for need in dict.fromkeys(row.need for row in mine):
        lane, more = _lane(need, [row for row in mine if row.need == need], numbers, top, limit)
        lanes.append(lane)
        marks.extend(more)
        top = lane["foot"]
    if not mine:
        return None
    return {
        "description": f"{room}: ours less each published number, in multiples of what a decision needs",
        "config": look.theme() | {"padding": {"left": 6, "top": 6, "right": 6, "bottom": 8}},
        "title": {"text": room.replace("_", " ").capitalize(), "subtitle": SIDE, "frame": "bounds"},
        "width": WIDTH,
        "height": top,
        "layer": _layers(lanes, marks, limit, top),
    }


def _x(limit: float) -> Chart:
    places = [0.0, *(tick for tick in TICKS if stretched(tick) <= limit)]
    both = sorted({*places, *(-place for place in places)})
    values = [round(stretched(place), 4) for place in both]
    written = [f"{place:+g}".replace("-", "−") if place else "0" for place in both]
    axis = {
        "title": "ours less the published number, in needs",
        "values": values,
        "labelExpr": f"{json.dumps(written, ensure_ascii=False)}[indexof({json.dumps(values)}, datum.value)]",
        "domain": False,
        "ticks": False,
        "grid": False,
    }
    return {"type": "quantitative", "scale": {"domain": [-limit, limit], "nice": False, "zero": False}, "axis": axis}


def _layers(lanes: list[Chart], marks: list[Chart], limit: float, height: float) -> list[Chart]:
    x = _x(limit)
    y: Chart = {"field": "y", "type": "quantitative", "scale": {"domain": [height, 0.0], "nice": False}, "axis": None}
    one = round(stretched(1.0), 4)
    whole = {"y": {"value": 0}, "y2": {"value": height}}
    band = [{"low": -one, "high": one}]
    aside = {"fontSize": look.FONT_SIZE, "baseline": "middle"}
    words: Chart = {"type": "text", "align": "right", "x": -10, **aside}
    quiet = {"color": look.QUIET, "fontSize": look.FONT_SIZE - 1}
    feet = {"y": {**y, "field": "foot"}}
    return [
        {"data": {"values": [{}]}, "mark": {"type": "rect", "color": look.PAPER, "x": -WORDS, "x2": WIDTH + TALLY}},
        {
            "data": {"values": band},
            "mark": {"type": "rect", "color": BAND},
            "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}, **whole},
        },
        {
            "data": {"values": [{"at": 0.0}]},
            "mark": {"type": "rule", "color": look.QUIET, "strokeWidth": 1},
            "encoding": {"x": {**x, "field": "at"}, **whole},
        },
        {"data": {"values": lanes}, "mark": {"type": "rule", "color": look.HAIRLINE}, "encoding": feet},
        {"data": {"values": lanes}, "mark": {**words, "dy": -7}, "encoding": {"y": y, "text": {"field": "what"}}},
        {
            "data": {"values": lanes},
            "mark": {**words, **quiet, "dy": 7},
            "encoding": {"y": y, "text": {"field": "need"}},
        },
        {
            "data": {"values": lanes},
            "mark": {**words, "align": "left", "x": WIDTH + 10},
            "encoding": {"y": y, "text": {"field": "tally"}},
        },
        _marks(marks, x, y),
        {
            "data": {"values": [mark for mark in marks if mark["number"]]},
            "mark": {"type": "text", "align": "left", "dx": 7, "fontWeight": 600, **aside},
            "encoding": {"x": {**x, "field": "at"}, "y": y, "text": {"field": "number"}},
        },
    ]


def _marks(marks: list[Chart], x: Chart, y: Chart) -> Chart:
    """Told apart by shape and lightness: a light diamond with a number misses, a white mark does not count."""
    outcomes = [outcome.value for outcome in Outcome]
    legend = {"orient": "top", "title": None, "offset": 8}
    shape = {"domain": outcomes, "range": [SHAPES[outcome] for outcome in Outcome]}
    shade = {"domain": outcomes, "range": [look.LEVEL, look.LEVEL, look.LOSS]}
    field = {"field": "outcome", "type": "nominal", "legend": legend}
    white = {"test": "!datum.counts", "value": look.PAPER}
    return {
        "data": {"values": marks},
        "mark": {"type": "point", "size": 52, "stroke": look.LEVEL, "strokeWidth": 1.3, "opacity": 1},
        "encoding": {
            "x": {**x, "field": "at"},
            "y": y,
            "shape": {**field, "scale": shape},
            "fill": {**field, "scale": shade, "condition": white},
        },
    }


def digest(chart: Chart) -> str:
    """A short mark of everything a picture is drawn from."""
    return hashlib.sha256(json.dumps(chart, sort_keys=True).encode()).hexdigest()[:32]


def png(chart: Chart) -> bytes:
    """The picture as PNG, with the digest of what it was drawn from inside."""
    drawing = picture(chart, ".png")
    content = KEYWORD + b"\0" + digest(chart).encode()
    chunk = struct.pack(">I", len(content)) + b"tEXt" + content + struct.pack(">I", zlib.crc32(b"tEXt" + content))
    end = len(drawing) - CHUNK_OVERHEAD  # the last chunk says only that it is the last
    return drawing[:end] + chunk + drawing[end:]


def drawn_from(data: bytes) -> str:
    """The digest inside a PNG; empty when it has none."""
    at = SIGNATURE
    while at + CHUNK_OVERHEAD <= len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        kind, content = data[at + 4 : at + 8], data[at + 8 : at + 8 + size]
        if kind == b"tEXt" and content.startswith(KEYWORD + b"\0"):
            return content[len(KEYWORD) + 1 :].decode()
        at += CHUNK_OVERHEAD + size
    return ""
