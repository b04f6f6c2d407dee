"""What the trade in lots hands back: a lot exchanged for another, a specification, a house's weekly capacity."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from gristwright.basics import Assumption, Light
from gristwright.records.lot import LotIdentity
from gristwright.records.results import BillResult, Figure, MeasureNext, Withheld


@dataclass(frozen=True)
class AnalysisDifference:
    """One analysis on two certificates. `beyond` is None when no spread between laboratories is on file."""

    field: str
    title: str
    unit: str
    old: float
    new: float
    limit: float | None  # the difference two laboratories may show on one lot
    beyond: bool | None
    standing: str
    source: str


@dataclass(frozen=True)
class BoardChange:
    """A board that stands differently with the new lot."""

    title: str
    old: Light
    new: Light
    sentence: str


@dataclass(frozen=True)
class LotComparison:
    """A lot exchanged for another in one bill on the same draws; `changes` are new less old."""

    old_id: str
    new_id: str
    share_pct: float
    old: BillResult
    new: BillResult
    changes: dict[str, Figure]
    words: tuple[str, ...]
    adjust: tuple[str, ...]
    differences: tuple[AnalysisDifference, ...]
    boards: tuple[BoardChange, ...]
    measure_next: tuple[MeasureNext, ...]
    assumptions: tuple[Assumption, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    withheld: Withheld | None = None  # what is not given of the changes, and why


@dataclass(frozen=True)
class SpecLine:
    """One field of a specification; None for a bound that is not set. `how` says what the bound was taken from."""

    field: str
    title: str
    unit: str
    basis: str
    method: str
    least: float | None
    most: float | None
    certificate: float | None
    worth: Figure | None  # of one unit more, money a tonne of the lot, or litres when there is no money
    how: str
    standing: str
    source: str


@dataclass(frozen=True)
class LotSpecification:
    """What to ask of one lot of the bill. `misses` are fields in which today's certificate lies outside."""

    lot_id: str
    title: str
    share_pct: float
    lines: tuple[SpecLine, ...]
    contaminants: tuple[SpecLine, ...]
    misses: tuple[str, ...]
    identity: LotIdentity


@dataclass(frozen=True)
class Specification:
    """A purchase specification for the lots of a bill in a house."""

    bill: str
    plant: str
    currency: str
    value_per_lpa: float | None
    value_words: str
    lots: tuple[LotSpecification, ...]
    assumptions: tuple[Assumption, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    inputs: tuple[tuple[str, str], ...]
    seed: int
    members: int
    issued: dt.date


@dataclass(frozen=True)
class UnitCapacity:
    """What one part of a house can do in a week, and how likely it is that all others wait for it."""

    key: str
    title: str
    hours: Figure  # of one mash, or of one charge
    mashes_per_week: Figure
    slowest: float
    lift: str


@dataclass(frozen=True)
class Capacity:
    """What a house can mash and distil in a week, what holds it back, and what would lift it."""

    figures: dict[str, Figure]
    units: tuple[UnitCapacity, ...]
    bottleneck: str  # key of the unit
    words: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    withheld: tuple[tuple[str, str, str], ...] = ()  # key, label and unit of figures that rest on litres not given
