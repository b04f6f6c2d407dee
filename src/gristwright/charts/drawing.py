"""What the engine of charts does: a chart as the bytes of a picture. It runs in a process of its own, see render."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import vl_convert

VEGA_LITE = "5.21"
PNG_SCALE = 2.0


@cache
def _register_font(folder: str) -> None:
    vl_convert.register_font_directory(folder)


def made(request: Mapping[str, Any]) -> list[bytes]:
    """The chart as a file with the ending asked for, or the script that draws in a browser.

    Nothing may be loaded from an address.
    """
    if "script" in request:
        return [str(vl_convert.javascript_bundle(request["script"])).encode()]
    _register_font(request["fonts"])
    chart, ending = request["chart"], request["ending"]
    if ending == ".svg":
        return [str(vl_convert.vegalite_to_svg(chart, vl_version=VEGA_LITE, allowed_base_urls=[])).encode()]
    if ending == ".png":
        return [bytes(vl_convert.vegalite_to_png(chart, vl_version=VEGA_LITE, scale=PNG_SCALE, allowed_base_urls=[]))]
    return [bytes(vl_convert.vegalite_to_pdf(chart, vl_version=VEGA_LITE, allowed_base_urls=[]))]
