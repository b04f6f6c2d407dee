"""Which categories are judged unasked: those of where the house stands and of the markets named. See docs/law.md."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import cache

from gristwright.basics import Address, Problem
from gristwright.reference.codes import places
from gristwright.reference.load import csv_rows
from gristwright.reference.spelling import close_to
from gristwright.rules.law.book import Book, standard_book


@cache
def _table() -> dict[str, dict[str, str]]:
    return {row["code"]: row for row in csv_rows("tables/law_markets.csv")}


def markets_known() -> tuple[tuple[str, str], ...]:
    """Code and name of every market a bill or an enquiry may name, by name; of two letters each."""
    names = {**dict(places()), "EU": "European Union"}
    return tuple(sorted(((code, names[code]) for code in _table() if "-" not in code), key=lambda pair: pair[1]))


def market_problems(markets: Collection[str], where: Address) -> list[Problem]:
    """A fault that names every market we have no rules of, with those we have."""
    known = [code for code, _ in markets_known()]
    strange = [market for market in markets if market not in known]
    if not strange:
        return []
    named = {name.lower(): code for code, name in markets_known()} | {code.lower(): code for code in known}
    close = [named[word] for market in strange for word in close_to(market.lower(), named, 1, 0.7)]
    meant = f" Is {' and '.join(dict.fromkeys(close))} meant?" if close else ""
    listed = ", ".join(repr(market) for market in strange)
    what = f"{listed} {'is no market' if len(strange) == 1 else 'are no markets'} whose rules are here.{meant}"
    return [Problem(where, what, f"Use two letters, of: {', '.join(sorted(known))}.")]


def _row(country: str) -> dict[str, str]:
    country = country.upper()  # "de" has rules too: the facts say that it is not written as a code is
    return _table().get(country) or _table().get(country.partition("-")[0]) or {"made": "", "sold": "", "note": ""}


def _within(country: str, market: str) -> bool:
    """Whether a country is a market or a part of it."""
    return country == market or country.startswith(f"{market}-")


def unasked(country: str | None, markets: Sequence[str], book: Book | None = None) -> tuple[str, ...]:
    """Keys of the categories judged unasked of a house in `country` that sells in `markets`, in the order of the book.

    A market that has rules for houses of one of its parts alone, as Great Britain for Scotland, asks them of those.
    """
    asked = set(_row(country)["made"].split("|")) if country else set()
    for market in markets:
        asked |= set(_row(market)["sold"].split("|"))
    return tuple(key for key, category in (book or standard_book()).categories.items() if category.market in asked)


def market_notes(country: str | None, markets: Sequence[str]) -> tuple[str, ...]:
    """What must be said of a house's country or of a market whose rules are not all here."""
    home = _row(country)["made"] if country else ""
    notes = [_row(market)["note"] for market in markets if not (home and _within(country or "", market))]
    if country and not home:
        notes.append(_row(country)["note"] or f"No rules of {country}, where the house stands, are here.")
    return tuple(dict.fromkeys(note for note in notes if note))
