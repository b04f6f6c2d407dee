"""A small invented stock for the tests."""

from __future__ import annotations

import datetime as dt

from gristwright.basics import Address
from gristwright.casework.stock.ledger import assemble
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.stock import LedgerEntry, Stock

ON = dt.date(2026, 11, 25)
COOL = Climate("cool", (5, 5, 6, 8, 11, 13, 15, 15, 13, 10, 7, 5), (0.85,) * 12)
BARREL = CaskKind("barrel", 200.0, 25.0, "oak", 1, True, "bourbon")
NEW = CaskKind("barrel", 200.0, 25.0, "oak", 1, True, "")


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def line(where: int, date: str, cask: str, what: str, **said: object) -> LedgerEntry:
    return LedgerEntry(Address("casks.csv", row=where), day(date), cask, what, **said)  # type: ignore[arg-type]


def filled(where: int, date: str, cask: str, **said: object) -> LedgerEntry:
    given = {"litres": 200.0, "abv_pct": 63.5, "method": "metered", "store": "Low", "spirit": "malt", "kind": BARREL}
    return line(where, date, cask, "filled", **(given | said))


def gauged(where: int, date: str, cask: str, litres: float, abv: float, **said: object) -> LedgerEntry:
    return line(where, date, cask, "gauged", litres=litres, abv_pct=abv, **({"method": "weighed"} | said))


def stock(*entries: LedgerEntry, climates: dict[str, Climate] | None = None, on: dt.date = ON) -> Stock:
    return assemble(entries, climates or {"": COOL}, on)


def sentences(found: Stock, warnings: bool = False) -> list[str]:
    return [problem.sentence() for problem in found.set_aside if warnings or not problem.warning]
