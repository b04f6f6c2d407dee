"""What each marker and the panel read, in years, beside the arm's own age and the rungs of the ladder."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.charts import theme as look
from gristwright.charts.theme import Chart
from gristwright.quantities.shown import capital, plain
from gristwright.records.ageing import AgeLine, ArmAnswer, LadderPoint

TITLES = {"all markers": "All markers together"}
ROOM = 0.8  # years left free beside the ladder


def _datum(line: AgeLine, ladder: tuple[float, float]) -> Chart:
    whole = line.form in ("all ages", "two rays")
    left, right = ladder[0] - ROOM, ladder[1] + ROOM
    low, high = (None, None) if line.form == "none" else (left, right) if whole else (line.low, line.high)
    seen = low is not None and high is not None
    # What lies wholly beyond the ladder shrinks to an arrow at its edge.
    low, high = (min(max(end, left), right) if end is not None else None for end in (low, high))
    return {
        "row": capital(TITLES.get(line.role, line.title)),
        "estimate": line.estimate,
        "low": low if seen else None,
        "high": high if seen else None,
        "open_low": bool(seen and low == left),
        "open_high": bool(seen and high == right),
        "used": line.used,
        "whole": line.role != "marker",
        "text": "" if line.estimate is None else plain(line.estimate, 1),
    }


def _tells(datum: Chart) -> bool:
    """Whether a row says anything of the age: a reading, or an interval that leaves some of the ladder out."""
    bounded = datum["low"] is not None and not (datum["open_low"] and datum["open_high"])
    return datum["estimate"] is not None or bounded


def _x(ladder: tuple[float, float], marks: Sequence[float]) -> Chart:
    axis = look.scale_axis("age read on the ladder, years; ticks are its rungs", list(marks))
    return {
        "type": "quantitative",
        "scale": {"domain": [ladder[0] - ROOM, ladder[1] + ROOM], "nice": False},
        "axis": axis,
    }


def reading_chart(answer: ArmAnswer, *, row_height: int = 24, width: int = 330) -> Chart | None:
    """A dot and its interval for each marker, for all together and for the panel; None where nothing tells of an age.

    A filled dot counts towards the statement, a hollow one does not; an arrow means that the interval goes on beyond
    the ladder. The upright line is the arm's true age. Sizes are in pixels.
    """
    if not answer.lines or not answer.rungs:
        return None
    rungs = [age for age, _ in answer.rungs]
    ladder = (rungs[0], rungs[-1])
    data = [_datum(line, ladder) for line in answer.lines]
    if not any(_tells(datum) for datum in data):
        return None
    x = _x(ladder, rungs)
    y = {"field": "row", "type": "ordinal", "sort": [d["row"] for d in data]}
    labels = {"title": None, "domain": False, "ticks": False, "labelPadding": 8}
    return {
        "description": f"Ages that markers and panel read for arm {answer.arm} of {answer.years:g} years",
        "config": look.theme() | {"padding": {"left": 2, "top": 6, "right": 2, "bottom": 16}},
        "width": width,
        "height": row_height * len(data),
        "data": {"values": data},
        "encoding": {"y": {**y, "axis": labels}},
        "layer": _layers(x, answer.years),
    }


def _layers(x: Chart, years: float) -> list[Chart]:
    known = [{"filter": "datum.estimate != null"}]
    line = {"type": "rule", "color": look.LEVEL}
    thick = {"condition": {"test": "datum.whole", "value": 3.2}, "value": 1.6}
    fill = {"condition": {"test": "datum.used", "value": look.LEVEL}, "value": look.PAPER}
    dot = {"type": "point", "size": 62, "strokeWidth": 1.6, "stroke": look.LEVEL, "opacity": 1}
    dash = {"condition": {"test": "datum.used", "value": [1, 0]}, "value": [3, 3]}
    own = {"type": "rule", "color": look.LOSS, "strokeWidth": 2.2}
    return [
        {"mark": own, "encoding": {"x": {**x, "datum": years}, "y": None}},
        {
            "mark": line,
            "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}, "strokeWidth": thick, "strokeDash": dash},
        },
        *[_arrow(x, side, angle) for side, angle in (("low", -90), ("high", 90))],
        {"transform": known, "mark": dot, "encoding": {"x": {**x, "field": "estimate"}, "fill": fill}},
        {
            "transform": known,
            "mark": {"type": "text", "dy": -10, "fontWeight": 600},
            "encoding": {"x": {**x, "field": "estimate"}, "text": {"field": "text"}},
        },
    ]


def _arrow(x: Chart, side: str, angle: int) -> Chart:
    return {
        "transform": [{"filter": f"datum.open_{side}"}],
        "mark": {
            "type": "point",
            "shape": "triangle",
            "angle": angle,
            "size": 46,
            "fill": look.LEVEL,
            "stroke": look.LEVEL,
            "opacity": 1,
        },
        "encoding": {"x": {**x, "field": side}},
    }


def ladder_chart(answer: ArmAnswer, *, width: int = 150, height: int = 96, columns: int = 3) -> Chart | None:
    """One small panel a marker: every cask of the ladder against its age, and the arm's casks at theirs.

    Dots are reference casks, crosses the arm's. None where no reference is comparable or no marker was
    measured on both.
    """
    names = list(dict.fromkeys(point.marker for point in answer.points))
    if not names or not answer.rungs:
        return None
    panels = [_small([p for p in answer.points if p.marker == name], width, height) for name in names]
    rows = [{"hconcat": panels[k : k + columns]} for k in range(0, len(panels), columns)]
    description = f"Markers of the reference casks and of arm {answer.arm} against true age"
    return {"description": description, "config": look.theme(), "vconcat": rows}


def _small(points: Sequence[LadderPoint], width: int, height: int) -> Chart:
    ages = sorted({point.years for point in points if not point.arm} | {point.years for point in points})
    top = max(point.value for point in points) or 1.0
    marks = look.ticks(0.0, top, 3)
    data = [{"years": p.years, "value": p.value, "arm": bool(p.arm)} for p in points]
    x = {
        "field": "years",
        "type": "quantitative",
        "scale": {"domain": [0.0, ages[-1] + ROOM], "nice": False},
        "axis": look.scale_axis("years in wood", ages),
    }
    y = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [0.0, 1.1 * top], "nice": False},
        "axis": look.scale_axis(points[0].unit, marks),
    }
    plain_dot = {"type": "point", "size": 22, "color": look.LEVEL, "filled": True, "opacity": 0.8}
    cross = {
        "type": "point",
        "shape": "M-1,-1L1,1M-1,1L1,-1",
        "size": 14,
        "stroke": look.LOSS,
        "strokeWidth": 1.2,
        "filled": False,
        "opacity": 1,
    }
    return {
        "title": capital(points[0].marker),
        "width": width,
        "height": height,
        "data": {"values": data},
        "layer": [
            {"transform": [{"filter": f"datum.arm == {flag}"}], "mark": mark, "encoding": {"x": x, "y": y}}
            for flag, mark in (("false", plain_dot), ("true", cross))
        ],
    }
