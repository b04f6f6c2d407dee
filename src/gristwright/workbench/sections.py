"""The sections of a form, with a place for every field of the record. See docs/desk.md."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from gristwright.basics import FieldPath
from gristwright.records.fields import field_at, fields_of
from gristwright.workbench.record_form import Section, name_of, path_of


def with_every_field(kind: type, sections: Sequence[Section]) -> list[Section]:
    """The sections; a field of the record that none of them names stands behind the one before it in the record."""
    named = {name for _, _, names in sections for name in names}
    return [
        (legend, note, [each for name in names for each in (name, *_behind(kind, path_of(name), named))])
        for legend, note, names in sections
    ]


def _behind(kind: type, path: FieldPath, named: Collection[str]) -> Iterator[str]:
    """The plain fields between this one and the next that is named."""
    above = field_at(kind, path[:-1])
    holder: Any = kind if len(path) == 1 else above and above.item
    plain = [name for name, field in fields_of(holder).items() if not field.item] if _is_record(holder) else []
    after = plain[plain.index(str(path[-1])) + 1 :] if path[-1] in plain else []
    for name in after:
        field_name = name_of((*path[:-1], name))
        if field_name in named:
            return
        yield field_name


def _is_record(kind: Any) -> bool:
    return isinstance(kind, type) and dataclasses.is_dataclass(kind)
