"""A chart as SVG, PNG or PDF, drawn without a browser and without anything from outside, by a process of its own."""

from __future__ import annotations

from pathlib import Path

from gristwright.basics import Problem
from gristwright.charts.fonts import font_folder
from gristwright.charts.theme import Chart
from gristwright.guard.engine import Engine

ENDINGS = (".svg", ".png", ".pdf")
MOST_SECONDS = 30.0
ENGINE = Engine("gristwright.charts.drawing", "The picture", "Ask for it again.", MOST_SECONDS)


def svg(chart: Chart) -> str:
    """The chart as the text of an SVG file. Raises Refused when it could not be drawn."""
    return picture(chart, ".svg").decode()


def script(needed: str) -> str:
    """The script that draws charts in a browser, with a last line of its own. Raises Refused."""
    return ENGINE.ask({"script": needed})[0].decode()


def ending_problems(path: Path, where: str) -> list[Problem]:
    """A file whose ending names no kind of picture we draw."""
    if path.suffix.lower() in ENDINGS:
        return []
    what = f"{path.name} ends on none of {', '.join(ENDINGS)}."
    return [Problem(where, what, "Give the file one of these endings.")]


def picture(chart: Chart, ending: str) -> bytes:
    """The chart as the bytes of a file with one of ENDINGS. Raises Refused when it could not be drawn."""
    return ENGINE.ask({"chart": chart, "ending": ending, "fonts": str(font_folder())})[0]
