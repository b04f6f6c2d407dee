"""A chart as SVG, PNG or PDF, drawn without a browser and without anything from outside."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import vl_convert

from gristwright.basics import Problem
from gristwright.charts.fonts import font_folder
from gristwright.charts.theme import Chart

VEGA_LITE = "5.21"
ENDINGS = (".svg", ".png", ".pdf")
PNG_SCALE = 2.0


@cache
def _register_font() -> None:
    vl_convert.register_font_directory(str(font_folder()))


def svg(chart: Chart) -> str:
    """The chart as the text of an SVG file; nothing may be loaded from an address."""
    _register_font()
    return str(vl_convert.vegalite_to_svg(chart, vl_version=VEGA_LITE, allowed_base_urls=[]))


def ending_problems(path: Path, where: str) -> list[Problem]:
    """A file whose ending names no kind of picture we draw."""
    if path.suffix.lower() in ENDINGS:
        return []
    what = f"{path.name} ends on none of {', '.join(ENDINGS)}."
    return [Problem(where, what, "Give the file one of these endings.")]


def picture(chart: Chart, ending: str) -> bytes:
    """The chart as the bytes of a file with one of ENDINGS."""
    if ending == ".svg":
        return svg(chart).encode()
    _register_font()
    if ending == ".png":
        return bytes(vl_convert.vegalite_to_png(chart, vl_version=VEGA_LITE, scale=PNG_SCALE, allowed_base_urls=[]))
    return bytes(vl_convert.vegalite_to_pdf(chart, vl_version=VEGA_LITE, allowed_base_urls=[]))
