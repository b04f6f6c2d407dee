"""A view as plain data: the one place where views become what JSON and templates read. See docs/documents.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import Field, fields, is_dataclass
from types import MappingProxyType
from typing import Any, ClassVar, Final, Protocol, TypeAlias

from gristwright.records.customer import CustomerPages, kept_pages
from gristwright.records.said import Said, kept

# Marks a field whose own fields stand in the data in its place: `assumed: AssumedView = field(metadata=SPREAD)`.
SPREAD: Final = MappingProxyType({"spread": True})


# A view that was kept as JSON and read again: it is printed by its keys and nothing is worked out from it.
Frozen: TypeAlias = Mapping[str, Any]


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
    """The same with every view in it as data: dicts, lists, texts and numbers; sentences as they are kept."""
    if isinstance(part, Said):
        return kept(part)
    if isinstance(part, CustomerPages):
        return kept_pages(part)
    if is_dataclass(part) and not isinstance(part, type):
        return as_data(part)
    if isinstance(part, Mapping):
        return {key: _data(value) for key, value in part.items()}
    return [_data(value) for value in part] if isinstance(part, list | tuple) else part
