"""What every page knows: the theme chosen, the version, the first caution."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from gristwright import __version__
from gristwright.rules.hazard import cautions

THEMES = ("as the system", "light", "dark")
COOKIE = "gristwright_theme"


def theme_of(request: HttpRequest) -> str:
    """The theme this browser chose."""
    chosen = request.COOKIES.get(COOKIE, "")
    return chosen if chosen in THEMES else THEMES[0]


def always(request: HttpRequest) -> dict[str, Any]:
    """For every template."""
    return {
        "theme": theme_of(request),
        "themes": THEMES,
        "version": __version__,
        "planning_aid": cautions("planning")[0].text,
    }
