"""What a stock's figures are said to rest on is what moves them: each prior raised alone, the stock forecast anew."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from typing import Any

import pytest

from casework.stock.stock_sample import NEW, ON, filled, gauged, stock
from gristwright.casework.stock.forecast import Bottling, forecast
from gristwright.casework.stock.one_cask import one_cask
from gristwright.casework.stock.regauge import regauge
from gristwright.records.cask import CaskKind
from gristwright.records.stock import Stock
from gristwright.reference.load import priors, toml_table
from gristwright.stages.cask import leak

SHERRY = CaskKind("barrel", 200.0, 25.0, "oak", 2, True, "sherry")
BOURBON = CaskKind("barrel", 200.0, 25.0, "oak", 2, True, "bourbon")
ROOMS = ("cask", "bottle")
NAMES = [name for room in ROOMS for name in toml_table(f"priors/{room}.toml")]


@cache
def house() -> Stock:
    """New wood and old, gauged and never gauged."""
    return stock(
        filled(2, "2018-03-01", "N-1", kind=NEW), filled(3, "2018-03-01", "S-1", kind=SHERRY),
        filled(4, "2018-03-01", "B-1", kind=BOURBON), filled(5, "2018-03-01", "B-2", kind=BOURBON),
        gauged(6, "2022-03-01", "B-1", 178.0, 62.4), gauged(7, "2025-03-01", "B-1", 160.0, 61.6), on=ON,
    )  # fmt: skip


def cleared() -> None:
    for kept in (priors, leak.standard):
        kept.cache_clear()


def figures() -> dict[str, Any]:
    """The forecast of the stock, and of each cask what its wood gives."""
    known = regauge(house(), draws=64)
    whole = forecast(house(), 8, known, bottling=Bottling(46.0))
    casks = [one_cask(house(), name, 8, known) for name in ("N-1", "S-1", "B-1")]
    return {
        "stock": (whole.rla_L, whole.litres, whole.bottles),
        "casks": [(cask.rla_L, cask.abv_pct, cask.markers) for cask in casks],
    }


def said() -> tuple[set[str], set[str]]:
    """The names that the stock's forecast and a cask's say they rest on."""
    known = regauge(house(), draws=64)
    one = one_cask(house(), "N-1", 8, known)
    whole = forecast(house(), 8, known, bottling=Bottling(46.0))
    return {a.name for a in whole.assumptions}, {a.name for a in one.assumptions}


@pytest.fixture(scope="module")
def before() -> Any:
    cleared()
    return figures()


def raised(entry: dict[str, Any]) -> list[Decimal]:
    """A family's arguments about one standard deviation and a half up, and a spread of its own a fifth wider."""
    first, *rest = (float(x) for x in entry["arguments"])
    match entry["family"]:
        case "lognormal":
            moved = [first * rest[0] ** 1.5, 1.2 * rest[0]]
        case "normal":
            moved = [first + 1.5 * rest[0], 1.2 * rest[0]]
        case "uniform":
            moved = [first + 0.7 * (rest[0] - first), *rest]
        case "loguniform":
            moved = [math.exp(math.log(first) + 0.7 * math.log(rest[0] / first)), *rest]
        case _:
            moved = [1.2 * first, *rest]
    return [Decimal(repr(value)) for value in moved]


@pytest.fixture
def with_raised(request: pytest.FixtureRequest) -> Iterator[str]:
    """One prior raised, and put back."""
    name = str(request.param)
    entry = next(table[name] for room in ROOMS if name in (table := toml_table(f"priors/{room}.toml")))
    kept = entry["arguments"]
    entry["arguments"] = raised(entry)
    cleared()
    yield name
    entry["arguments"] = kept
    cleared()


@pytest.mark.parametrize("with_raised", NAMES, indirect=True)
def test_a_prior_is_named_where_it_moves_a_figure_and_nowhere_else(before: Any, with_raised: str) -> None:
    now, (stock_rests, cask_rests) = figures(), said()
    assert (now["stock"] != before["stock"]) == (with_raised in stock_rests)
    assert (now["casks"] != before["casks"]) == (with_raised in cask_rests)


def test_what_is_not_worked_out_rests_on_nothing() -> None:
    """Without bottles no loss in bottling; of a small cask, whose wood is not told, no prior of wood."""
    found = stock(filled(2, "2022-03-01", "S-1", kind=CaskKind("20 L", 20.0, 22.0, "oak"), litres=19.0), on=ON)
    known = regauge(found, draws=16)
    named = {a.name for a in forecast(found, 2, known).assumptions}
    assert "bottle.handling_loss_share" not in named
    assert {a.name for a in one_cask(found, "S-1", 2, known).assumptions} == named
