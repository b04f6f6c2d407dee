"""What a line of a cask ledger cannot say, beside the lines before it. See docs/stock.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from gristwright.basics import Problem
from gristwright.numerics.draws import middles
from gristwright.quantities import alcoholometry
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.stock import LedgerEntry, StockCask
from gristwright.reference.load import priors
from gristwright.stages.cask import ledger, limits

# A gauge a little above the last is the noise of gauging; more needs a topping on record.
RISE_PCT = 0.5
# Strength above the last gauge by more than this is more than a careful reading scatters [%vol].
STRENGTH_RISE_PCT = 0.5
# Humidity above the strength-neutral one by more than this makes a store a humid one.
HUMID = 0.05
SOME_DEGC = (-10.0, 40.0)
# Casks differ a little from their stated capacity.
HOLDS = 1.03
MOST_NAMED = 8


@dataclass(frozen=True)
class StateBefore:
    """A filling before a line is entered: what its lines so far leave in it, and where it lies."""

    filled: dt.date
    kind: CaskKind | None
    store: str
    place: str
    lpa_L: float
    volume_L: float
    entry_abv_pct: float
    gauged_abv_pct: float
    added_since: bool
    climate: Climate | None


def litres_at_20(entry: LedgerEntry) -> float:
    """Litres of a line at 20 degC; as they are where no temperature is given."""
    litres, abv = entry.litres or 0.0, entry.abv_pct
    if entry.degC is None or abv is None:
        return litres
    return float(litres * _volume_factor(abv, entry.degC))


@lru_cache(maxsize=20_000)
def _volume_factor(abv_pct: float, degC: float) -> float:
    """Many lines of a ledger are of one strength and temperature, and every line is asked more than once."""
    return alcoholometry.volume_factor(abv_pct, degC)


def in_order(entries: Sequence[LedgerEntry], problems: list[Problem]) -> list[LedgerEntry]:
    """The lines without those dated before an earlier line of the same cask, and without two places on one day."""
    last: dict[str, LedgerEntry] = {}
    kept = []
    for entry in entries:
        before = last.get(entry.cask)
        if before is not None and entry.date < before.date:
            what = f"{entry.cask} {entry.what} on {entry.date}, below a line of {before.date} ({before.where})."
            problems.append(Problem(entry.where.to("date"), what, "Mend the date, or put the lines in order of time."))
            continue
        if before is not None and _two_places(before, entry):
            what = f"{entry.cask} is in {_at(before)} and in {_at(entry)} on {entry.date}."
            problems.append(
                Problem(entry.where.to("store"), what, f"Keep one of the two; the other is {before.where}.")
            )
            continue
        last[entry.cask] = entry
        kept.append(entry)
    return kept


def _at(entry: LedgerEntry) -> str:
    return " ".join(part for part in (entry.store, entry.place) if part)


def _two_places(before: LedgerEntry, entry: LedgerEntry) -> bool:
    moved_twice = before.date == entry.date and before.what == entry.what == "moved"
    return moved_twice and _at(before) != _at(entry)


def of_filling(entry: LedgerEntry, is_full: bool, held: Mapping[str, float]) -> list[Problem]:
    """Faults and warnings of a filling; `held` is the pure alcohol [L] every cask before it held last."""
    where, problems = entry.where, []
    if is_full:
        what = f"{entry.cask} is filled on {entry.date} and was not emptied before: one cask in two places."
        problems.append(
            Problem(where.to("cask"), what, "Add the line on which it was emptied, or give it another name.")
        )
    if entry.litres is None or entry.abv_pct is None:
        what = f"{entry.cask} is filled without litres or strength."
        problems.append(Problem(where, what, "Give litres and %vol at 20 degC."))
    problems += _of_sources(entry, held)
    if any(not problem.warning for problem in problems):
        return problems
    return [*problems, *of_litres(entry, entry.kind), *_of_headspace(entry), *_of_entry_strength(entry)]


def _of_sources(entry: LedgerEntry, held: Mapping[str, float]) -> list[Problem]:
    """Casks a line draws on that nobody knows, and more alcohol than they held."""
    unknown = [name for name in entry.sources if name not in held]
    problems = []
    for name in unknown:
        what = f"{entry.cask} is {entry.what} from {name}, which no line before knows."
        way_out = "Add that cask's lines above, or name the lot as spirit."
        problems.append(Problem(entry.where.to("from"), what, way_out))
    if unknown or not entry.sources or entry.abv_pct is None:
        return problems
    lpa, most = litres_at_20(entry) * entry.abv_pct / 100.0, sum(held[name] for name in entry.sources)
    if lpa <= most * (1.0 + RISE_PCT / 100.0):
        return problems
    what = (
        f"{entry.cask} is {entry.what} with {lpa:.2f} L of pure alcohol from {' + '.join(entry.sources)}, which held "
    )
    way_out = "Name every cask it came from, or check litres and strength."
    return [*problems, Problem(entry.where.to("from"), f"{what}{most:.2f} L.", way_out)]


def _of_headspace(entry: LedgerEntry) -> list[Problem]:
    """A cask that is far from full has dry wall, and its loss is reckoned on the whole."""
    assert entry.litres is not None
    if entry.kind is None:
        return []
    capacity = entry.kind.capacity_L
    if entry.litres >= limits.WELL_FILLED * capacity:
        return []
    what = f"{entry.litres:g} L are under nine tenths of the {capacity:g} L of {entry.cask}; its loss is reckoned full."
    return [Problem(entry.where.to("litres"), what, "Fill it, or read its loss as too high.", warning=True)]


def _of_entry_strength(entry: LedgerEntry) -> list[Problem]:
    low, high = limits.LOW_ENTRY_ABV_PCT, limits.HIGH_ENTRY_ABV_PCT
    assert entry.abv_pct is not None
    usual_low, usual_high = limits.USUAL_ENTRY_ABV_PCT
    if not low <= entry.abv_pct <= high:
        what = f"strength {entry.abv_pct:g} %vol is outside {low:g} to {high:g} %vol."
        return [Problem(entry.where.to("abv_pct"), what, "Mend it, or give it in %vol at 20 degC.")]
    if entry.sources or usual_low <= entry.abv_pct <= usual_high:
        return []
    what = f"strength {entry.abv_pct:g} %vol is outside the usual {usual_low:g} to {usual_high:g} %vol."
    return [Problem(entry.where.to("abv_pct"), what, "Check the gauge and the category.", warning=True)]


def of_litres(entry: LedgerEntry, kind: CaskKind | None) -> list[Problem]:
    """Litres a cask can hold, and a temperature a gauge can have."""
    problems, litres = [], entry.litres
    if litres is not None and kind is not None and not 0.0 < litres <= HOLDS * kind.capacity_L:
        what = f"{litres:g} L does not fit {entry.cask}, which holds {kind.capacity_L:g} L."
        problems.append(Problem(entry.where.to("litres"), what, "Mend the litres, or the capacity of its filling."))
    if entry.degC is not None and not SOME_DEGC[0] <= entry.degC <= SOME_DEGC[1]:
        what = f"{entry.degC:g} degC is outside {SOME_DEGC[0]:g} to {SOME_DEGC[1]:g} degC."
        problems.append(Problem(entry.where.to("degC"), what, "Give the temperature of the spirit when gauged."))
    return problems


def of_small(casks: Sequence[StockCask]) -> list[Problem]:
    """One sentence on all casks that are too small for more than their loss to be forecast; nothing where none is."""
    small = [cask for cask in casks if cask.kind.capacity_L < limits.SMALL_CAPACITY_L]
    if not small:
        return []
    names = ", ".join(cask.cask_id for cask in small[:MOST_NAMED]) + (", …" if len(small) > MOST_NAMED else "")
    count = f"{len(small)} cask{'s' * (len(small) != 1)}"
    what = f"{count} below {limits.SMALL_CAPACITY_L:g} L ({names}): only loss is forecast."
    way_out = "A small cask never gives the same whisky faster."
    return [Problem(replace(small[0].where, row=None), what, way_out, warning=True)]


def of_event(entry: LedgerEntry, state: StateBefore | None, known: bool, held: Mapping[str, float]) -> list[Problem]:
    """Faults and warnings of a line that is no filling; `held` as for a filling."""
    if state is None:
        what = f"{entry.cask} is {entry.what} on {entry.date}, "
        what += "after it was emptied." if known else "before any line on which it was filled."
        return [Problem(entry.where.to("cask"), what, "Mend the name or the date, or add the filling.")]
    problems = [*of_litres(entry, state.kind), *_of_store(entry, state), *_of_place(entry, state)]
    if entry.what in ("gauged", "topped") and (entry.litres is None or entry.abv_pct is None):
        problems.append(Problem(entry.where, f"{entry.cask} is {entry.what} without litres or strength.", "Give both."))
    elif entry.what == "sampled" and entry.litres is None:
        problems.append(Problem(entry.where.to("litres"), "a sample without litres.", "Give the litres drawn."))
    elif entry.what == "sampled":
        problems += _of_sample(entry, state)
    elif entry.what == "moved" and not (entry.store or entry.place):
        problems.append(Problem(entry.where.to("store"), "a move to nowhere.", "Name the store or the place."))
    elif entry.what == "topped":
        problems += [*_of_sources(entry, held), *_of_topping(entry, state)]
    elif entry.what == "gauged" and not any(not problem.warning for problem in problems):
        problems += of_gauge(entry, state)
    return problems


def _of_sample(entry: LedgerEntry, state: StateBefore) -> list[Problem]:
    if entry.litres is None or entry.litres <= state.volume_L:
        return []
    what = f"{entry.litres:g} L are drawn from {entry.cask}, and its lines leave {state.volume_L:.1f} L at most."
    return [Problem(entry.where.to("litres"), what, "Mend the litres, or say emptied.")]


def _of_topping(entry: LedgerEntry, state: StateBefore) -> list[Problem]:
    """More than fits into what was there at the last gauge: possible only where as much was lost since."""
    if state.kind is None:
        return []
    over = state.volume_L + (entry.litres or 0.0) - HOLDS * state.kind.capacity_L
    if over <= 0.0:
        return []
    what = (
        f"{entry.litres:g} L are topped into {entry.cask}, whose lines leave {state.volume_L:.1f} L of "
        f"{state.kind.capacity_L:g} L: it must have lost {over:.1f} L since."
    )
    return [Problem(entry.where.to("litres"), what, "Gauge before and after topping.", warning=True)]


def _of_place(entry: LedgerEntry, state: StateBefore) -> list[Problem]:
    """A line in another place of the store with no move on record: used, and said."""
    if entry.what == "moved" or not entry.place or not state.place or entry.place == state.place:
        return []
    what = f"{entry.cask} is {entry.what} at {entry.place}, and the ledger has it at {state.place}."
    return [Problem(entry.where.to("place"), what, "Add the line on which it was moved.", warning=True)]


def _of_store(entry: LedgerEntry, state: StateBefore) -> list[Problem]:
    """A line in another store than the cask lies in, with no move on record."""
    if entry.what == "moved" or not entry.store or entry.store == state.store:
        return []
    what = f"{entry.cask} is {entry.what} in {entry.store}, and the ledger has it in {state.store}: in two places."
    return [Problem(entry.where.to("store"), what, "Add the line on which it was moved, or mend the store.")]


def of_gauge(entry: LedgerEntry, state: StateBefore) -> list[Problem]:
    """A gauge beside what was there before: alcohol that rose, strength that rose in a humid store, a wrong product."""
    assert entry.abv_pct is not None
    lpa = litres_at_20(entry) * entry.abv_pct / 100.0
    return [
        *_of_rise(entry, state, lpa),
        *_of_stated(entry, lpa),
        *_of_humid(entry, state),
        *_of_temperature(entry),
    ]


def _of_rise(entry: LedgerEntry, state: StateBefore, lpa: float) -> list[Problem]:
    rise = 100.0 * (lpa / state.lpa_L - 1.0) if state.lpa_L > 0.0 else 100.0
    if rise <= 0.0:
        return []
    what = f"{entry.cask} holds {lpa:.2f} L of pure alcohol, {rise:.2f} % above the {state.lpa_L:.2f} L before"
    if rise <= RISE_PCT:
        return [Problem(entry.where, f"{what}, within {RISE_PCT:g} %: taken as noise.", "", warning=True)]
    topped = " with the topping on record" if state.added_since else " and no topping or vatting is on record"
    way_out = "Check litres, strength and temperature, or add the topping or vatting."
    return [Problem(entry.where.to("litres"), f"{what}, more than {RISE_PCT:g} %{topped}.", way_out)]


def _of_stated(entry: LedgerEntry, lpa: float) -> list[Problem]:
    if entry.rla_L is None or abs(entry.rla_L / lpa - 1.0) <= RISE_PCT / 100.0:
        return []
    what = f"{entry.rla_L:g} L of pure alcohol is stated, and litres, strength and temperature give {lpa:.2f} L."
    return [Problem(entry.where.to("rla"), what, "Litres and strength are used; check the temperature.", warning=True)]


def _of_temperature(entry: LedgerEntry) -> list[Problem]:
    if entry.degC is not None or entry.method == "weighed":
        return []
    what = f"{entry.cask} was gauged without a temperature; the litres are taken at 20 degC."
    return [Problem(entry.where.to("degC"), what, "10 K are about 1 % of volume: give it.", warning=True)]


def _of_humid(entry: LedgerEntry, state: StateBefore) -> list[Problem]:
    """Strength above what went in, where the air of the store is too humid for it to rise."""
    assert entry.abv_pct is not None
    rise = entry.abv_pct - max(state.entry_abv_pct, state.gauged_abv_pct)
    if state.climate is None or rise <= STRENGTH_RISE_PCT:
        return []
    humidity, neutral = float(np.mean(state.climate.month_humidity)), neutral_humidity(state.climate, entry.abv_pct)
    if humidity <= neutral + HUMID:
        return []
    what = (
        f"{entry.cask} reads {entry.abv_pct:g} %vol, {rise:.1f} above its entry, in a store of {100 * humidity:.0f} % "
        f"humidity, and strength rises only below about {100 * neutral:.0f} %."
    )
    return [Problem(entry.where.to("abv_pct"), what, "Gauge the strength again, or check the humidity of the store.")]


def neutral_humidity(climate: Climate, abv_pct: float) -> float:
    """Humidity [0..1] at which strength stays put in the mean temperature of a store, middle permeances."""
    middle = middles(priors("cask"))
    ratio = middle["cask.water_permeance"] / middle["cask.ethanol_permeance"]
    mean_degC = float(np.mean(climate.month_degC))
    return float(ledger.strength_neutral_humidity(np.array([abv_pct]), mean_degC, ratio)[0])
