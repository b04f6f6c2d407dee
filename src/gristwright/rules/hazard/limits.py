"""Topics on which there is no caution."""

from __future__ import annotations

from collections.abc import Iterable

from gristwright.basics import Problem


def topic_problems(wanted: Iterable[str], known: Iterable[str]) -> list[Problem]:
    """A fault for each topic that is not known."""
    names = list(known)
    way_out = f"Use one of: {', '.join(names)}."
    return [Problem("topic", f'there is no caution on "{name}".', way_out) for name in wanted if name not in names]
