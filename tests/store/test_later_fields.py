"""A field that came in after answers were frozen is marked LATER, or every answer kept before would read as changed.

Held against the answer that release 0.1 kept (`desk-0.1.sql.gz`). What is not in it, such as a cooker, is not seen.
"""

from __future__ import annotations

import dataclasses
import gzip
import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

from gristwright.records.fields import LATER, Number
from gristwright.records.washbacks import Washbacks
from scenario import enquiry, lots

DUMP = Path(__file__).with_name("desk-0.1.sql.gz")


def kept() -> Any:
    """What the answer was worked out from, as it was frozen."""
    with sqlite3.connect(":memory:") as desk:
        desk.executescript(gzip.decompress(DUMP.read_bytes()).decode())
        [(text,)] = desk.execute("SELECT inputs FROM store_answer").fetchall()
    return json.loads(text)


def unmarked(record: Any, said: Any) -> Iterator[str]:
    """Fields of a record that a frozen text of it does not have and that are not marked."""
    if isinstance(record, tuple) and isinstance(said, list):
        for one, two in zip(record, said, strict=False):
            yield from unmarked(one, two)
    if not dataclasses.is_dataclass(record) or not isinstance(said, dict):
        return
    for field in dataclasses.fields(record):
        if field.name in said:
            yield from unmarked(getattr(record, field.name), said[field.name])
        elif "later" not in field.metadata:
            yield f"{type(record).__name__}.{field.name}: write it as field(default=…, metadata=LATER)"


@dataclasses.dataclass(frozen=True)
class Fuller(Washbacks):
    """Washbacks with two fields more."""

    lids: Annotated[int, Number("Lids", "lids", 0, 9)] = 0
    marked: Annotated[int, Number("Marks", "marks", 0, 9)] = dataclasses.field(default=0, metadata=LATER)


def test_every_field_that_came_in_later_is_marked() -> None:
    said = kept()
    assert list(unmarked(enquiry(), said["enquiry"])) == []
    assert list(unmarked(lots(), said["lots"])) == []


def test_one_that_is_not_is_named() -> None:
    house = kept()["enquiry"]["plant"]
    [said] = unmarked(Fuller(**vars(enquiry().plant.washbacks)), house["washbacks"])
    assert said.startswith("Fuller.lids: ")
