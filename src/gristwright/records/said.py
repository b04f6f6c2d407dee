"""A sentence before it is put in a language: a key and the typed quantities in it. See docs/languages.md."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from gristwright.basics import Band

if TYPE_CHECKING:
    from gristwright.records.results import Figure


@dataclass(frozen=True)
class Amount:
    """A number with its unit and decimals, with the ends of its band where it has one; `change` shows a sign."""

    value: float
    unit: str = ""
    decimals: int = 0
    low: float | None = None
    high: float | None = None
    change: bool = False

    @classmethod
    def of_band(cls, band: Band, unit: str, decimals: int, change: bool = False) -> Amount:
        """Middle and ends of a band."""
        return cls(band.middle, unit, decimals, band.low, band.high, change)

    @classmethod
    def of_figure(cls, figure: Figure, change: bool = False) -> Amount:
        """A figure of a result."""
        return cls.of_band(figure.band, figure.unit, figure.decimals, change)


@dataclass(frozen=True)
class Name:
    """A word of the trade that has a name in each language, such as a type of grain: kind of word, and the word."""

    kind: str
    key: str


Term: TypeAlias = "str | int | Amount | Name | dt.date | Said | tuple[Term, ...]"


@dataclass(frozen=True)
class Said:
    """One sentence, or part of one: its key in the catalogues of documents/languages and what stands in it."""

    key: str
    terms: tuple[tuple[str, Term], ...] = ()


def said(key: str, **terms: Term) -> Said:
    """A sentence by its key; `terms` are named as the catalogues name them, `n` counts where there is a plural."""
    return Said(key, tuple(terms.items()))


def kept(term: Any) -> Any:
    """A term as JSON keeps it; `Said` and what stands in it name their kind."""
    match term:
        case Said():
            return {"said": term.key, "terms": {name: kept(value) for name, value in term.terms}}
        case Amount():
            return {"amount": [term.value, term.unit, term.decimals, term.low, term.high, term.change]}
        case Name():
            return {"name": [term.kind, term.key]}
        case dt.date():
            return {"date": term.isoformat()}
        case tuple() | list():
            return [kept(one) for one in term]
    return term


def unkept(data: Any) -> Any:
    """What `kept` wrote, as terms again."""
    match data:
        case {"said": str(key), "terms": dict(terms)}:
            return Said(key, tuple((name, unkept(value)) for name, value in terms.items()))
        case {"amount": list(parts)}:
            return Amount(*parts)
        case {"name": [str(kind), str(key)]}:
            return Name(kind, key)
        case {"date": str(iso)}:
            return dt.date.fromisoformat(iso)
        case list():
            return tuple(unkept(one) for one in data)
    return data
