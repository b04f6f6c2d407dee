"""Keys of sentences that are made from rows of tables and not written out in the code: one function for each family."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from gristwright.casework.mash_house.order import CAUTIONS
from gristwright.casework.recommend.customer import OF_BREWERS, OF_DISTILLERS
from gristwright.casework.recommend.customer_stands import TOLD
from gristwright.documents import customer as customer_words
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


def customer() -> Iterator[str]:
    yield from (f"customer.label.{key}" for key in (*customer_words.LABELS, *customer_words.VERDICTS))
    yield from (f"customer.{which}.{how}" for which in ("gain", "cost") for how in ("alone", "more", "less", "same"))
    yield from (f"headline.one.{verdict}" for verdict in customer_words.VERDICTS)
    yield from (f"caution.{key}" for key in (*OF_DISTILLERS, *OF_BREWERS))
    yield from (f"withheld.{key}" for key in ("starch_left_pct", "never_runs_off_pct", "wash_abv_pct"))


def doses() -> Iterator[str]:
    yield from (f"dose.{what}{cost}" for what in ("older", "reads") for cost in ("", ".cost"))


def boards() -> Iterator[str]:
    for key in TOLD:
        yield from (f"board.{key}.{how}" for how in ("green", "amber", "red", "amber.seldom"))
    yield "board.enzymes.risky"
    yield from (f"board.bed.{light}.with" for light in ("green", "amber", "red"))
    yield from (f"light.{light}" for light in ("green", "amber", "red", "unknown", "amber.seldom"))
    yield from (
        f"{part}.{verdict}" for part in ("law", "verdict") for verdict in ("pass", "fail", "unknown", "depends")
    )
    yield from (f"way.{row['key']}" for row in csv_rows("tables/remedies.csv"))


FAMILIES: tuple[Callable[[], Iterable[str]], ...] = (aims, actions, waters, vessels, sheet, customer, doses, boards)
