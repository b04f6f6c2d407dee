"""A chart as SVG, drawn without a browser and without anything from outside."""

from __future__ import annotations

from functools import cache

import vl_convert

from gristwright.charts.fonts import font_folder
from gristwright.charts.theme import Chart

VEGA_LITE = "5.21"


@cache
def _register_font() -> None:
    vl_convert.register_font_directory(str(font_folder()))


def svg(chart: Chart) -> str:
    """The chart as the text of an SVG file; nothing may be loaded from an address."""
    _register_font()
    return str(vl_convert.vegalite_to_svg(chart, vl_version=VEGA_LITE, allowed_base_urls=[]))
