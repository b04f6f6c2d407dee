"""A house or a cask of the desk with one thing in it said otherwise."""

from __future__ import annotations

import copy
from typing import Any

from gristwright.store.models import CaskVersion, EnquiryRow, PlantVersion
from gristwright.store.versions import keep, newest


def say(model: type[PlantVersion] | type[CaskVersion], asked: EnquiryRow, *path: str, value: Any) -> None:
    """Another version in which a field says this; None takes it out."""
    document = copy.deepcopy(newest(model, asked))
    holder = document
    for part in path[:-1]:
        holder = holder.setdefault(part, {})
    if value is None:
        holder.pop(path[-1], None)
    else:
        holder[path[-1]] = value
    keep(model, asked, document)


def plant(asked: EnquiryRow, *path: str, value: Any) -> None:
    """Another version of the house."""
    say(PlantVersion, asked, *path, value=value)
