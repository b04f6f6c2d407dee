"""A view as plain data: the one place where views become what JSON and templates read. See docs/documents.md."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import Field, fields, is_dataclass, replace
from types import MappingProxyType
from typing import Any, ClassVar, Final, Protocol, TypeVar, cast

from gristwright.reference.typeface import spelled

# Marks a field whose own fields stand in the data in its place: `assumed: AssumedView = field(metadata=SPREAD)`.
SPREAD: Final = MappingProxyType({"spread": True})
Part = TypeVar("Part")


class View(Protocol):
    """A document or a part of one, as a frozen dataclass."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]


def as_data(view: View) -> dict[str, object]:
    """Every field of a view by its name and in its order; nothing is left out."""
    data: dict[str, object] = {}
    for one in fields(view):
        value = getattr(view, one.name)
        # A name that is a word of the language has a line behind it: `with_`.
        data |= as_data(value) if "spread" in one.metadata else {one.name.removesuffix("_"): _data(value)}
    return data


def _data(part: object) -> object:
    """The same with every view in it as data: dicts, lists, texts and numbers."""
    if is_dataclass(part) and not isinstance(part, type):
        return as_data(part)
    if isinstance(part, Mapping):
        return {key: _data(value) for key, value in part.items()}
    return [_data(value) for value in part] if isinstance(part, list | tuple) else part


def readable(part: Part) -> Part:
    """The same view with degC, degP and their like written with the sign of degree; names of parameters stay.

    A remark may quote a heading or sheet that nobody read; its characters are spelled where they cannot be shown.
    """
    return cast(Part, _readable(part))


def _readable(part: object) -> object:
    if isinstance(part, str):
        return spelled(re.sub(r"\bdeg(?=[A-Z])", "°", part))
    if is_dataclass(part) and not isinstance(part, type):
        return replace(part, **{one.name: _readable(getattr(part, one.name)) for one in fields(part)})
    if isinstance(part, Mapping):
        return {key: _readable(value) for key, value in part.items()}
    if isinstance(part, list):
        return [_readable(value) for value in part]
    return tuple(_readable(value) for value in part) if isinstance(part, tuple) else part
