"""What a form sent, field by field, and the lines of a list at the places they have now. See docs/desk.md."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any

from django.http import HttpRequest

from gristwright.workbench.fields import count_in

# More lines than any list has.
MOST = 400


@dataclass(frozen=True)
class Sent:
    """What was typed, what stood there before, what stood there at first where it was asked about, what was chosen.

    `new` are the fields of lines that nobody has kept yet.
    """

    data: dict[str, list[str]]
    was: dict[str, list[str]]
    opened: dict[str, list[str]]
    choices: dict[str, str]
    new: frozenset[str] = frozenset()
    left: tuple[dict[str, list[str]], dict[str, list[str]]] = field(default_factory=lambda: ({}, {}))

    @classmethod
    def of(cls, request: HttpRequest, was: str, opened: str, choice: str) -> Sent:
        """The fields of a request under their own names."""
        data = {name: list(texts) for name, texts in request.POST.lists()}
        chosen = {name.removeprefix(choice): texts[-1] for name, texts in data.items() if name.startswith(choice)}
        return cls(data, _read(request.POST.get(was, "")), _read(request.POST.get(opened, "")), chosen)

    def gone(self, name: str) -> tuple[list[str] | None, list[str] | None]:
        """Of a field whose line is gone what was typed, and what stood there."""
        typed, was = self.left
        return typed.get(name), was.get(name)

    def file(self, name: str, request: HttpRequest) -> None:
        """A file that was chosen stands for what was typed; none is no change."""
        sent = request.FILES.get(name)
        self.data[name] = [f"the file {sent.name}"] if sent else self.was.get(name, [])

    def management(self, lines: Any) -> dict[str, str]:
        """How many lines there are now, as a list of forms asks for it."""
        kept, prefix = len(lines.initial_forms), lines.prefix
        numbers = [
            int(found[1]) for name in self.new if (found := re.match(rf"{re.escape(prefix)}-([0-9]{{1,6}})-", name))
        ]
        total = max([kept, *(number + 1 for number in numbers)])
        return {f"{prefix}-TOTAL_FORMS": str(total), f"{prefix}-INITIAL_FORMS": str(kept)}


def _read(text: str) -> dict[str, list[str]]:
    """The values that a form carried; nothing where they cannot be read, so that every difference is asked about."""
    try:
        read = json.loads(text)
    except ValueError:
        return {}
    values = read.items() if isinstance(read, dict) else ()
    return {str(name): [str(one) for one in texts] for name, texts in values if isinstance(texts, list)}


def moved(lines: Any, sent: Sent) -> tuple[Sent, dict[int, str], list[Any]]:
    """What was sent with the numbers that lines have now; the lines that are gone by the number they had, with their
    keys; the lines that came."""
    prefix = lines.prefix
    here = {str(form.instance.pk): number for number, form in enumerate(lines.initial_forms)}
    keys = {number: _first(sent.data.get(f"{prefix}-{number}-id")) for number in range(_total(sent, prefix))}
    after = count(len(here))
    places = {number: here.get(key) if key else next(after) for number, key in keys.items()}
    gone = {number: keys[number] for number, place in places.items() if place is None}
    come = [form for number, form in enumerate(lines.initial_forms) if number not in places.values()]
    new = {place for number, place in places.items() if place is not None and not keys[number]}
    data = _renamed(sent.data, prefix, places)
    named = frozenset(name for name in data if (number := _number(name, prefix)) is not None and number in new)
    typed, before = (
        {n: texts for n, texts in of.items() if _number(n, prefix) in gone} for of in (sent.data, sent.was)
    )
    was, opened = (_renamed(texts, prefix, places) for texts in (sent.was, sent.opened))
    choices = _renamed(sent.choices, prefix, places)
    renumbered = replace(sent, data=data, was=was, opened=opened, choices=choices, new=sent.new | named)
    return replace(renumbered, left=(typed, before)), gone, come


def _renamed(texts: Mapping[str, Any], prefix: str, places: Mapping[int, int | None]) -> dict[str, Any]:
    """The fields under the numbers their lines have now; those of lines that are gone are left out."""
    renamed = {}
    for name, value in texts.items():
        number = _number(name, prefix)
        if number is None:
            renamed[name] = value
        elif (place := places.get(number)) is not None:
            renamed[name.replace(f"{prefix}-{number}-", f"{prefix}-{place}-", 1)] = value
    return renamed


def _number(name: str, prefix: str) -> int | None:
    found = re.match(rf"{re.escape(prefix)}-([0-9]{{1,6}})-", name)
    return int(found[1]) if found else None


def _first(texts: list[str] | None) -> str:
    return texts[0] if texts else ""


def _total(sent: Sent, prefix: str) -> int:
    return count_in(_first(sent.data.get(f"{prefix}-TOTAL_FORMS")), MOST)
