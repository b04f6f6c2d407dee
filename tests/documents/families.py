"""Keys of sentences that are made from rows of tables and not written out in the code: one function for each family."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from gristwright.casework.mash_house.order import CAUTIONS
from gristwright.documents.order import GROUPS, LABELS
from gristwright.records.plant import WATERS
from gristwright.reference import csv_rows


def aims() -> Iterator[str]:
    for row in csv_rows("tables/order_aims.csv"):
        yield f"order.aim.{row['row']}"
        if row["words"]:
            yield f"order.how.{row['row']}"


def actions() -> Iterator[str]:
    for table, before in (("order_actions", ""), ("change_over", "over_")):
        for row in csv_rows(f"tables/{table}.csv"):
            yield from (f"order.{part}.{before}{row['key']}" for part in ("seen", "do"))


def waters() -> Iterator[str]:
    yield "order.wort.first_wort"
    for name in WATERS:
        yield from (
            f"order.water.{name}",
            f"order.sparge.{name}",
            f"order.wort.{name}_water",
            f"order.wort.{name}_sparge",
        )


def vessels() -> Iterator[str]:
    for what in ("run_off", "water", "sparge"):
        yield from (f"order.why.{what}.{vessel}" for vessel in ("tun", "lauter", "filter"))
    yield from (f"order.step.over.{vessel}" for vessel in ("lauter", "filter"))


def sheet() -> Iterator[str]:
    yield from (f"order.label.{key}" for key in LABELS)
    yield from (f"order.group.{key}" for key in GROUPS)
    yield from (f"caution.{key}" for key in CAUTIONS)


FAMILIES: tuple[Callable[[], Iterable[str]], ...] = (aims, actions, waters, vessels, sheet)
