"""Ladder and arms brought to the same markers, units and scales before anything is compared. See docs/ageing.md."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from gristwright.basics import Address, FloatArray, Problem
from gristwright.casework.claim.scales import declared
from gristwright.quantities.units import plain
from gristwright.records.age_evidence import MeasuredCask
from gristwright.records.ageing import CaskTable, Sample, Score
from gristwright.reference.load import csv_rows

OWN = "own"
NOT_KNOWN = "Not in the reference: whether it changes with age alone is not known."
ON_YOUR_WORD = "Not in the reference: that it changes with age alone is your word."


@dataclass(frozen=True)
class MarkerKind:
    """A marker as the reference knows it; `role` is own for one it does not know."""

    key: str
    title: str
    role: str
    reads_age: bool
    note: str


@cache
def known_markers() -> dict[str, MarkerKind]:
    """Every heading of a known marker, plainly written."""
    markers = {}
    for row in csv_rows("tables/ageing_markers.csv"):
        kind = MarkerKind(row["key"], row["title"], row["role"], row["reads_age"] == "yes", row["note"])
        for name in (row["key"], row["title"], *row["aliases"].split("|")):
            markers[plain(name)] = kind
    return markers


def kind_of(heading: str) -> MarkerKind:
    """The marker a heading names; one that is not known is the user's own, and shown without being read for age."""
    own = MarkerKind(heading, heading, OWN, False, NOT_KNOWN)
    return known_markers().get(plain(heading), own)


def _counted(kind: MarkerKind, names: Collection[str]) -> MarkerKind:
    """An own marker that the user says changes with age alone is read for it."""
    said = kind.role == OWN and plain(kind.title) in {plain(name) for name in names}
    return replace(kind, reads_age=True, note=ON_YOUR_WORD) if said else kind


def _own_problems(where: Address, markers: Collection[MarkerKind], names: Collection[str]) -> list[Problem]:
    """Own markers are named, and so is a name that is no own marker of both files."""
    own = {plain(kind.title): kind.title for kind in markers if kind.role == OWN}
    silent = [title for name, title in own.items() if name not in {plain(given) for given in names}]
    problems = []
    if silent:
        what = f"{', '.join(silent)}: no such marker in the reference; shown, not read for age."
        problems.append(Problem(where, what, "Name it under --count if nothing but age moves it.", True))
    for name in names:
        if plain(name) not in own:
            what = f"{name!r} is no marker of your own in both files."
            problems.append(Problem("--count", what, "A marker of the reference is read as the reference says.", True))
    return problems


@dataclass(frozen=True)
class Matched:
    """Both tables on one set of units and scales; values go by marker key. `speaks_of`: what a file says of a scale."""

    ladder: CaskTable
    arms: CaskTable
    markers: tuple[MarkerKind, ...]
    problems: tuple[Problem, ...]
    speaks_of: dict[str, str]


def matched(ladder: CaskTable, arms: CaskTable, count: Collection[str] = ()) -> Matched:
    """Markers and scales that both files have, in the ladder's units; what falls out is named.

    `count` names markers of the user's own that are to be read for age.
    """
    problems: list[Problem] = []
    both = {cask for cask, _ in _at(ladder)} & {cask for cask, _ in _at(arms)}
    if both:
        what = f"{', '.join(sorted(both))} stands in the ladder and in an arm."
        problems.append(
            Problem(Address(arms.file), what, "A cask cannot vouch for itself; it is left out of the ladder.", True)
        )
        ladder = _without(ladder, lambda item: item.cask in both)
    ladder = _once_each(ladder, problems)
    ladder, arms = _keyed(ladder), _keyed(arms)
    factors = _factors(ladder, arms, problems)
    scales = _scales(ladder, arms, problems)
    markers = tuple(_counted(kind_of(key), count) for key in factors)
    problems += _own_problems(Address(ladder.file), markers, count)
    ladder, arms = _reduced(ladder, dict.fromkeys(factors, 1.0), scales), _reduced(arms, factors, scales)
    speaks_of = declared(ladder, arms, problems)
    return Matched(ladder, arms, markers, tuple(problems), speaks_of)


def _items(table: CaskTable) -> tuple[Sample | Score, ...]:
    return (*table.samples, *table.scores)


def _at(table: CaskTable) -> list[tuple[str, float]]:
    return list(dict.fromkeys((item.cask, item.years) for item in _items(table)))


def _without(table: CaskTable, out: Callable[[Sample | Score], bool]) -> CaskTable:
    samples = tuple(item for item in table.samples if not out(item))
    return replace(table, samples=samples, scores=tuple(item for item in table.scores if not out(item)))


def _once_each(table: CaskTable, problems: list[Problem]) -> CaskTable:
    """Each reference cask at one age only, the ages given out in turn: a cask met twice is still one cask."""
    ages: dict[str, list[float]] = defaultdict(list)
    for cask, years in _at(table):
        ages[cask].append(years)
    several = [cask for cask, values in ages.items() if len(values) > 1]
    if not several:
        return table
    kept = {
        cask: sorted(values)[several.index(cask) % len(values)] if cask in several else values[0]
        for cask, values in ages.items()
    }
    what = f"{', '.join(several)} stands there at several ages."
    chosen = ", ".join(f"{cask} at {kept[cask]:g}" for cask in several)
    problems.append(
        Problem(
            Address(table.file), what, f"Each cask counts once: {chosen} years. Give every age its own casks.", True
        )
    )
    return _without(table, lambda item: item.years != kept[item.cask])


def _keyed(table: CaskTable) -> CaskTable:
    keys = {name: kind_of(name).key for name in table.units}
    samples = tuple(replace(s, values={keys[name]: value for name, value in s.values.items()}) for s in table.samples)
    return replace(table, samples=samples, units={keys[name]: unit for name, unit in table.units.items()})


def _factors(ladder: CaskTable, arms: CaskTable, problems: list[Problem]) -> dict[str, float]:
    """What an arm's value is multiplied by to stand in the ladder's unit, for each marker of both."""
    factors = {}
    for key in dict.fromkeys((*ladder.units, *arms.units)):
        title = kind_of(key).title
        if key not in ladder.units or key not in arms.units:
            only = ladder.file if key in ladder.units else arms.file
            problems.append(
                Problem(Address(only), f"{title} stands there only.", "Measure it on both; it is not used.", True)
            )
            continue
        factor = unit_factor(arms.units[key], ladder.units[key])
        if factor is None:
            what = f"{title} is in {arms.units[key]} here and in {ladder.units[key]} in {ladder.file}."
            problems.append(Problem(Address(arms.file), what, "Bring both to one unit; it is not used.", True))
        else:
            factors[key] = factor
    return factors


def unit_factor(unit: str, other: str) -> float | None:
    """What turns a value of one unit into another, None where that takes more than the two names."""
    if unit.strip() == other.strip():
        return 1.0
    rows = {name.strip(): row for row in csv_rows("tables/ageing_units.csv") for name in _names(row)}
    mine, theirs = rows.get(unit.strip()), rows.get(other.strip())
    if mine is None or theirs is None or mine["basis"] != theirs["basis"]:
        return None
    return float(mine["to_base"]) / float(theirs["to_base"])


def _names(row: dict[str, str]) -> list[str]:
    return [row["unit"], *row["aliases"].split("|")]


def _scales(ladder: CaskTable, arms: CaskTable, problems: list[Problem]) -> dict[str, tuple[float, float]]:
    scales = {}
    for name in dict.fromkeys((*ladder.scales, *arms.scales)):
        if name not in ladder.scales or name not in arms.scales:
            only = ladder.file if name in ladder.scales else arms.file
            problems.append(
                Problem(Address(only), f"scores of {name} stand there only.", "Score both; they are not used.", True)
            )
        elif ladder.scales[name] != arms.scales[name]:
            mine, theirs = (f"{low:g} to {high:g}" for low, high in (arms.scales[name], ladder.scales[name]))
            what = f"{name} goes from {mine} here and from {theirs} in {ladder.file}."
            problems.append(Problem(Address(arms.file), what, "Score both on one scale; it is not used.", True))
        else:
            scales[name] = ladder.scales[name]
    return scales


def _reduced(table: CaskTable, factors: dict[str, float], scales: dict[str, tuple[float, float]]) -> CaskTable:
    samples = tuple(
        replace(s, values={key: value * factors[key] for key, value in s.values.items() if key in factors})
        for s in table.samples
    )
    scores = tuple(replace(s, values={k: v for k, v in s.values.items() if k in scales}) for s in table.scores)
    return replace(table, samples=samples, scores=scores, scales=scales)


def casks_of(table: CaskTable) -> list[MeasuredCask]:
    """Every cask at every age with the means of its samples; a cask that was only scored has none."""
    by_cask: dict[tuple[str, float], list[Sample | Score]] = defaultdict(list)
    for item in _items(table):
        by_cask[(item.cask, item.years)].append(item)
    return [_mean(name, years, items) for (name, years), items in by_cask.items()]


def _mean(name: str, years: float, items: list[Sample | Score]) -> MeasuredCask:
    samples = [item for item in items if isinstance(item, Sample)]
    keys = dict.fromkeys(key for sample in samples for key in sample.values)
    values = {key: float(np.mean([s.values[key] for s in samples if key in s.values])) for key in keys}
    return MeasuredCask(name, items[0].arm, years, items[0].facts, values)


def table_of(casks: Iterable[MeasuredCask], keys: Iterable[str]) -> FloatArray:
    """Cask means, shape (casks, markers); NaN where a cask lacks a marker."""
    keys = list(keys)
    return np.array([[cask.values.get(key, np.nan) for key in keys] for cask in casks], dtype=np.float64)
