"""Cut the members of a mash into blocks and join the courses again. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from gristwright.records.mash import MashCourse

T = TypeVar("T")


def for_members(record: T, members: int) -> T:
    """A record whose arrays, or plain numbers in their place, are spread to (members,)."""
    return _each(record, lambda x: np.broadcast_to(np.asarray(x, dtype=float), (members,)))


def cut(record: T, part: slice) -> T:
    """The same record for some of the members."""
    return _each(record, lambda x: x[part])


def _each(record: T, change: Any) -> T:
    held = {f.name: getattr(record, f.name) for f in fields(record)}  # type: ignore[arg-type]
    numbers = {name: change(x) for name, x in held.items() if isinstance(x, np.ndarray | float) and name not in _PLAIN}
    return replace(record, **numbers)  # type: ignore[type-var]


_PLAIN = ("at_min",)
_SHARED = ("times_min", "settled_degC")


def joined(parts: Sequence[MashCourse]) -> MashCourse:
    """One course of the courses of all blocks; the balance is the worst of them."""
    return parts[0] if len(parts) == 1 else replace(_joined(parts), balance_error=max(p.balance_error for p in parts))


def _joined(parts: Sequence[T]) -> T:
    first = parts[0]
    columns: dict[str, Any] = {}
    for f in fields(first):  # type: ignore[arg-type]
        values = [getattr(part, f.name) for part in parts]
        if isinstance(values[0], np.ndarray) and f.name not in _SHARED:
            columns[f.name] = np.concatenate(values, axis=-1)
        elif isinstance(values[0], tuple):
            columns[f.name] = tuple(_joined(some) for some in zip(*values, strict=True))
        elif is_dataclass(values[0]):
            columns[f.name] = _joined(values)
    return replace(first, **columns)  # type: ignore[type-var]
