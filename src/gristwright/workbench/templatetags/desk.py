"""Filters of the templates: the sign before a word, degrees as people write them."""

from __future__ import annotations

import re
from typing import Any

from django import template

from gristwright.basics import Light, Verdict

register = template.Library()

SIGNS = {
    Light.GREEN.value: "✓",
    Light.AMBER.value: "!",
    Light.RED.value: "×",
    Light.UNKNOWN.value: "?",
    Verdict.PASS.value: "✓",
    Verdict.FAIL.value: "×",
    Verdict.DEPENDS.value: "±",
}


@register.filter
def sign(word: str) -> str:
    """The sign that stands before a word of a board or a verdict."""
    return SIGNS.get(word, "")


@register.filter
def degrees(text: str) -> str:
    """degC as °C, m2 as m², and a unit that has no sign of its own in words."""
    text = text.replace("L_deg_kg", "L°/kg").replace("IoB_colour", "IoB colour")
    return re.sub(r"\bm2\b", "m²", re.sub(r"\bdeg(?=[A-Z])", "°", text))


@register.filter
def item(of: dict[str, Any], key: str) -> Any:
    """An entry of a dict."""
    return of.get(key, "")


@register.filter
def lit(text: str) -> str:
    """A verdict or a word of a board as a class name."""
    return text.replace(" ", "-") if text in SIGNS else ""


@register.filter
def short(value: float) -> str:
    """A number as short as it can be written, with a decimal point."""
    return f"{value:g}"
