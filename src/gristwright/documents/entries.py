"""The object every printed number is carried in: its band, its text, and what it rests on."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar, cast

from gristwright.basics import Band
from gristwright.documents.data import View, as_data
from gristwright.quantities.shown import WITHHELD, capital, interval, plain, signed, with_interval
from gristwright.records.results import Figure, Withheld
from gristwright.reference.typeface import spelled

Part = TypeVar("Part")

LITRES = "L pure alcohol/t"
STATED = "stated in the enquiry"
COUNTED = "counted"
RECORD = "record of the house"
RUNS = "share of the runs of this calculation"
TRIAL = "follows from the difference sought and the spread between mashes"


@dataclass(frozen=True)
class Entry:
    """A number: its band, as it is printed, and the assumptions it rests on, or what it is when it rests on none."""

    key: str
    label: str
    unit: str
    low: float | None
    middle: float | None
    high: float | None
    at: str
    range: str
    text: str
    rests_on: tuple[str, ...]
    basis: str


@dataclass(frozen=True)
class WithheldEntry(Entry):
    """A number that is not given, and why."""

    withheld: str


@dataclass(frozen=True)
class WithheldView:
    """Why figures are not given, with those that decide it."""

    sentence: str
    reasons: tuple[Entry, ...]


@dataclass(frozen=True)
class DateView:
    """A date as the standard writes it and as a person reads it."""

    iso: str
    text: str


@dataclass(frozen=True)
class IssueView:
    """How a document stands: a draft, or issued; by whom, when on the clock of the desk, and what is noted to it."""

    state: str
    by: str
    at: str
    note: str


@dataclass(frozen=True)
class FootNotes:
    """What stands at the foot of a page, and over it where the page is an invented example."""

    planning_aid: str
    invented: str


@dataclass(frozen=True)
class HeadView:
    """What a page of its own begins with: what it is, for whom, and of which day."""

    format: str
    language: str
    title: str
    customer: str
    invented: bool
    issued: DateView


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def entry(
    key: str,
    label: str,
    unit: str,
    band: Band,
    decimals: int,
    rests_on: Sequence[str] = (),
    *,
    basis: str = "",
    difference: bool = False,
) -> Entry:
    """A number with its band. `rests_on` names assumptions; `basis` says what it is when it rests on none."""
    write = signed if difference else plain
    return Entry(
        key=key,
        label=label,
        unit=unit.replace("m2", "m²"),
        low=_finite(band.low),
        middle=_finite(band.middle),
        high=_finite(band.high),
        at=write(band.middle, decimals),
        range=interval(band, decimals, difference) if band.low != band.high else "",
        text=with_interval(band, decimals, difference),
        rests_on=tuple(rests_on),
        basis=basis,
    )


def figure_entry(figure: Figure, difference: bool = False) -> Entry:
    """A figure of a result."""
    label = capital(figure.label)
    return entry(figure.key, label, figure.unit, figure.band, figure.decimals, figure.rests_on, difference=difference)


def withheld_entry(key: str, label: str, unit: str, reason: str) -> WithheldEntry:
    """A number that is not given: nothing in its places, and why."""
    return WithheldEntry(
        key, capital(label), unit, None, None, None, WITHHELD, "", WITHHELD, (), basis=reason, withheld=reason
    )


def withheld_entries(why: Withheld | None) -> dict[str, Entry]:
    """Every figure that is not given, by key."""
    return {} if why is None else {name[0]: withheld_entry(*name, why.sentence) for name in why.names}


def entries(figures: Mapping[str, Figure], why: Withheld | None, difference: bool = False) -> dict[str, Entry]:
    """Every figure by key, and behind them those that are not given."""
    return {key: figure_entry(figure, difference) for key, figure in figures.items()} | withheld_entries(why)


def withheld_view(why: Withheld | None) -> WithheldView | None:
    """Why figures are not given; None where all are."""
    return None if why is None else WithheldView(why.sentence, tuple(figure_entry(figure) for figure in why.reasons))


def single(key: str, label: str, unit: str, value: float, decimals: int, basis: str) -> Entry:
    """A number without a band: a count, a statement of the customer, a reading."""
    return entry(key, label, unit, Band(value, value, value), decimals, basis=basis)


def sentence(text: str) -> str:
    """The text with a capital in front and a full stop behind."""
    text = capital(text.strip())
    return text if not text or text[-1] in ".?!" else f"{text}."


def fewest_decimals(value: float, most: int = 2) -> int:
    """How many decimals the value needs, up to `most`."""
    return next((places for places in range(most) if math.isclose(value, round(value, places), abs_tol=1e-9)), most)


def readable(part: Part) -> Part:
    """The same view with degC, degP and their like written with the sign of degree; names of parameters stay.

    A remark may quote a heading or sheet that nobody read; its characters are spelled where they cannot be shown.
    """
    return cast(Part, _readable(part))


def _readable(part: object) -> object:
    if isinstance(part, str):
        return spelled(re.sub(r"\bdeg(?=[A-Z])", "°", part))
    if is_dataclass(part) and not isinstance(part, type):
        return replace(part, **{one.name: _readable(getattr(part, one.name)) for one in fields(part)})
    if isinstance(part, Mapping):
        return {key: _readable(value) for key, value in part.items()}
    if isinstance(part, list):
        return [_readable(value) for value in part]
    return tuple(_readable(value) for value in part) if isinstance(part, tuple) else part


def date_entry(date: dt.date) -> DateView:
    """A date as a view."""
    return DateView(date.isoformat(), f"{date.day} {date:%B %Y}")


def percent(probability: float) -> str:
    """A probability as a person reads it; never a bare 0 or 100 for what was only sampled."""
    if 0.0 < probability < 0.005:
        return "under 1 %"
    if 0.995 < probability < 1.0:
        return "over 99 %"
    return f"{plain(100.0 * probability, 0)} %"


def unresolved(view: View | Mapping[str, object]) -> list[str]:
    """Names that a number rests on and the list of assumptions lacks, and numbers that rest on nothing at all.

    `view` is a document's, or the data it was written as.
    """
    data: Mapping[str, Any] = view if isinstance(view, Mapping) else as_data(view)
    known = {assumption["name"] for assumption in data["assumptions"]}
    faults: list[str] = []
    for number in _numbers(data):
        faults += [f"{number['key']}: {name}" for name in number["rests_on"] if name not in known]
        if not number["rests_on"] and not number["basis"]:
            faults.append(f"{number['key']}: rests on nothing")
    return faults


def _numbers(part: Any) -> list[Any]:
    if isinstance(part, dict):
        here = [part] if "rests_on" in part and "basis" in part else []
        return here + [number for value in part.values() for number in _numbers(value)]
    return [number for value in part for number in _numbers(value)] if isinstance(part, list) else []
