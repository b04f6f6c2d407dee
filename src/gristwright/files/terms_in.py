"""What a bill or an enquiry says of money and days, held against what can be meant. See docs/files.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from gristwright.basics import Address, Problem
from gristwright.reference.codes import currencies
from gristwright.reference.spelling import nearest
from gristwright.reference.typeface import fault_in

SIGNS = {"€": "EUR", "$": "USD", "£": "GBP", "¥": "JPY", "fr.": "CHF", "sfr": "CHF", "kr": "SEK"}
# Below it an amount is of a kilogram and not of a tonne, in every currency.
LEAST_PRICE_PER_T = 5.0
# Days of a law text that is still to come; a plan may be made a year ahead.
MOST_DAYS_AHEAD = 366


def currency_problems(currency: str, where: Address) -> list[Problem]:
    """A currency that ISO 4217 has no code for."""
    if not currency or currency in currencies() or fault_in(currency):
        return []
    near = SIGNS.get(currency.strip().lower()) or next(iter(nearest(currency, currencies(), 1)), "")
    way_out = f"Did you mean {near!r}?" if near else "Write its three letters, such as EUR, GBP or USD."
    return [Problem(where, f"{currency!r} is no code of a currency.", way_out)]


def price_remarks(prices: Mapping[str, float], where: Address, unit: str) -> list[Problem]:
    """Prices that are of a kilogram rather than of a tonne, as remarks; `prices` by the end of their address."""
    return [
        Problem(where.to(lot), f"{price:g} {unit} a tonne is a price of a kilogram.", "Give it a tonne.", warning=True)
        for lot, price in prices.items()
        if 0.0 < price < LEAST_PRICE_PER_T
    ]


def day_remarks(day: dt.date | None, where: Address) -> list[Problem]:
    """A day so far ahead that nobody knows its law, as a remark."""
    today = dt.date.today()  # noqa: DTZ011
    if day is None or (day - today).days <= MOST_DAYS_AHEAD:
        return []
    what = f"{day} is more than a year after today, {today}."
    return [Problem(where, what, "Check the year; the law is read as it is known now.", warning=True)]
