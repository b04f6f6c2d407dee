"""The object every printed number is carried in: its band, its text, and what it rests on."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Sequence
from typing import Any, TypeAlias

from gristwright.basics import Band
from gristwright.quantities.shown import WITHHELD, capital, interval, plain, signed, with_interval
from gristwright.records.results import Figure, Withheld
from gristwright.reference.typeface import spelled

View: TypeAlias = dict[str, Any]

LITRES = "L pure alcohol/t"
STATED = "stated in the enquiry"
COUNTED = "counted"
RECORD = "record of the house"
RUNS = "share of the runs of this calculation"
TRIAL = "follows from the difference sought and the spread between mashes"


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
) -> View:
    """A number with its band. `rests_on` names assumptions; `basis` says what it is when it rests on none."""
    write = signed if difference else plain
    return {
        "key": key,
        "label": label,
        "unit": unit.replace("m2", "m²"),
        "low": _finite(band.low),
        "middle": _finite(band.middle),
        "high": _finite(band.high),
        "at": write(band.middle, decimals),
        "range": interval(band, decimals, difference) if band.low != band.high else "",
        "text": with_interval(band, decimals, difference),
        "rests_on": list(rests_on),
        "basis": basis,
    }


def figure_entry(figure: Figure, difference: bool = False) -> View:
    """A figure of a result."""
    label = capital(figure.label)
    return entry(figure.key, label, figure.unit, figure.band, figure.decimals, figure.rests_on, difference=difference)


def withheld_entry(key: str, label: str, unit: str, reason: str) -> View:
    """A number that is not given: nothing in its places, and why."""
    empty = {"low": None, "middle": None, "high": None, "at": WITHHELD, "range": "", "text": WITHHELD}
    said = {"key": key, "label": capital(label), "unit": unit}
    return {**said, **empty, "rests_on": [], "basis": reason, "withheld": reason}


def withheld_entries(why: Withheld | None) -> dict[str, View]:
    """Every figure that is not given, by key."""
    return {} if why is None else {name[0]: withheld_entry(*name, why.sentence) for name in why.names}


def withheld_view(why: Withheld | None) -> View | None:
    """Why figures are not given, with those that decide it; None where all are."""
    if why is None:
        return None
    return {"sentence": why.sentence, "reasons": [figure_entry(figure) for figure in why.reasons]}


def single(key: str, label: str, unit: str, value: float, decimals: int, basis: str) -> View:
    """A number without a band: a count, a statement of the customer, a reading."""
    return entry(key, label, unit, Band(value, value, value), decimals, basis=basis)


def sentence(text: str) -> str:
    """The text with a capital in front and a full stop behind."""
    text = capital(text.strip())
    return text if not text or text[-1] in ".?!" else f"{text}."


def fewest_decimals(value: float, most: int = 2) -> int:
    """How many decimals the value needs, up to `most`."""
    return next((places for places in range(most) if math.isclose(value, round(value, places), abs_tol=1e-9)), most)


def readable(part: Any) -> Any:
    """The same view with degC, degP and their like written with the sign of degree; names of parameters stay.

    A remark may quote a heading or sheet that nobody read; its characters are spelled where they cannot be shown.
    """
    if isinstance(part, dict):
        return {key: readable(value) for key, value in part.items()}
    if isinstance(part, list):
        return [readable(value) for value in part]
    return spelled(re.sub(r"\bdeg(?=[A-Z])", "°", part)) if isinstance(part, str) else part


def date_entry(date: dt.date) -> View:
    """A date as the standard writes it and as a person reads it."""
    return {"iso": date.isoformat(), "text": f"{date.day} {date:%B %Y}"}


def percent(probability: float) -> str:
    """A probability as a person reads it; never a bare 0 or 100 for what was only sampled."""
    if 0.0 < probability < 0.005:
        return "under 1 %"
    if 0.995 < probability < 1.0:
        return "over 99 %"
    return f"{plain(100.0 * probability, 0)} %"


def unresolved(view: View) -> list[str]:
    """Names that a number rests on and the list of assumptions lacks, and numbers that rest on nothing at all."""
    known = {assumption["name"] for assumption in view["assumptions"]}
    faults: list[str] = []
    for number in _numbers(view):
        faults += [f"{number['key']}: {name}" for name in number["rests_on"] if name not in known]
        if not number["rests_on"] and not number["basis"]:
            faults.append(f"{number['key']}: rests on nothing")
    return faults


def _numbers(part: Any) -> list[View]:
    if isinstance(part, dict):
        here = [part] if "rests_on" in part and "basis" in part else []
        return here + [number for value in part.values() for number in _numbers(value)]
    if isinstance(part, list):
        return [number for value in part for number in _numbers(value)]
    return []
