"""The invented stock through the library: the numbers its README states. All invented, so no evidence."""

from __future__ import annotations

import datetime as dt
import re
from functools import cache

import pytest

from gristwright.casework import stock as casks
from gristwright.casework.stock.ledger import assemble
from gristwright.casework.stock.one_cask import one_cask
from gristwright.files.casks_in import read_casks
from gristwright.files.climate_in import read_climates
from gristwright.files.rates_in import read_rates
from gristwright.records.stock import Regauged, Stock, StockForecast
from gristwright.stages.cask import stores
from house.places import EXAMPLES

HOUSE = EXAMPLES / "cask-stock"
ON = dt.date(2026, 11, 25)
NUMBER = re.compile(r"(?<![\w.-])\d{1,3}(?: \d{3})+(?![\d.])|(?<![\w.-])\d+(?:\.\d+)?")


@cache
def stated() -> dict[str, list[float]]:
    """The numbers of each row of the README's table."""
    lines = (HOUSE / "README.md").read_text(encoding="utf-8").splitlines()
    rows = [line.strip("| ").split(" | ") for line in lines if line.startswith("| ")]
    return {row[0]: [float(text.replace(" ", "")) for text in NUMBER.findall(row[1])] for row in rows if len(row) == 2}


@cache
def stock() -> Stock:
    climates = read_climates(HOUSE / "store.csv").accepted()
    return assemble(read_casks(HOUSE / "casks.csv").accepted(), climates, ON)


@cache
def known() -> Regauged:
    return casks.regauge(stock())


@cache
def forecast() -> StockForecast:
    rates, bottling = read_rates(HOUSE / "rates.csv").accepted(), casks.Bottling(46.0)
    return casks.forecast(stock(), 20, known(), rates, bottling)


def test_the_stock_and_what_it_holds() -> None:
    today, later, last = (forecast().rla_L[k] for k in (0, 9, 20))
    values = [today.middle, today.low, today.high, later.middle, last.middle, last.low, last.high]
    assert stated()["pure alcohol today, in 2035, in 2046"] == pytest.approx(values, rel=1e-3)
    bottles = forecast().bottles[0]
    assert stated()["bottles of 0.7 L at 46 %vol, if all were vatted today"] == pytest.approx(
        [bottles.middle, bottles.low, bottles.high], rel=1e-3
    )
    gone, money = forecast().evaporated_L[9], forecast().money[9]
    assert stated()["gone in the year to 2035"] == pytest.approx(
        [gone.middle, gone.low, gone.high, money.middle], rel=2e-3
    )


def test_the_stores_give_back_what_was_put_in_and_two_casks_leak() -> None:
    """As invented in make_stock.py: the store factors and the leakers; MK-14-018 and RY-19-032."""
    hill, low = (store.factor for store in known().stores)
    printed = stated()["loss over the model's"]
    assert printed[:6] == pytest.approx([hill.middle, hill.low, hill.high, low.middle, low.low, low.high], abs=0.006)
    assert hill.low < 1.12 < hill.high
    assert low.low < 0.92 < low.high
    assert {cask.cask_id for cask in casks.leakers(known())} == {"MK-14-018", "RY-19-032"}
    assert max(cask.leaking for cask in known().casks if cask.cask_id not in ("MK-14-018", "RY-19-032")) < 0.2


def test_the_vatting_and_the_filling() -> None:
    rates = read_rates(HOUSE / "rates.csv").accepted()
    made = casks.vat(stock(), casks.Vat(5000.0, 46.0, 8), rates, known())
    assert all(name.startswith("MK-17") for name in made.casks)
    assert stated()["vatting of 5000 L at 46 %vol, 8 years"][:2] == [len(made.casks), made.considered]
    assert made.chance >= 0.9
    assert made.loss_of_value < 0.0
    wanted = casks.Wanted(20_000, 46.0, casks.last_day(2035))
    kinds = [stores.kind_named(name) for name in casks.USUAL_KINDS]
    climate = stock().climates["Low store"]
    taught = {"oak": casks.learn(stock(), "Low store", "oak")}
    learned = casks.fill_for(wanted, kinds, climate, 63.5, ON, 1, taught)
    plain = casks.fill_for(wanted, kinds, climate, 63.5, ON)
    numbers = [row.casks for row in learned], [row.casks for row in plain]
    assert stated()["20 000 bottles in 2035, enough with 90 %"] == [*numbers[0], 63.5, 97, *numbers[1]]


def test_the_statement() -> None:
    found = one_cask(stock(), "MK-14-018", 20, known())
    assert found.abv_pct[0].high < found.floor_abv_pct
    ages = {age.category: (age.years, age.months, age.days) for age in found.ages}
    assert ages["EU_WHISKY"] == (12, 1, 19)
    assert ages["US_STRAIGHT_BOURBON"] == (0, 0, 0)
