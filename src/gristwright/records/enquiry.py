"""What a customer asks, and within which limits."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from gristwright.records.ageing import ClaimAsked
from gristwright.records.bill import Bill
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.give_gain import ReleasePrices
from gristwright.records.plant import Plant, PlantRecord


@dataclass(frozen=True)
class Offered:
    """A lot on offer: its price per tonne as it is, and the least and most of it the customer will take [0.01 %]."""

    lot_id: str
    price_per_t: float
    least_parts: int
    most_parts: int
    for_character: bool | None = None  # None: as its type usually is


@dataclass(frozen=True)
class Group:
    """A bound on several lots together [0.01 %]."""

    name: str
    lot_ids: tuple[str, ...]
    least_parts: int
    most_parts: int


@dataclass(frozen=True)
class Limits:
    """What the customer will not go beyond; None means no limit."""

    least_lpa_per_t: float | None = None
    most_cost_per_lpa: float | None = None
    least_wash_abv_pct: float | None = None
    most_original_gravity_sg: float | None = None


@dataclass(frozen=True)
class CaskPlan:
    """What will become of the spirit."""

    kind: CaskKind
    climate: Climate
    entry_abv_pct: float
    years: float
    bottle_abv_pct: float
    bottle_L: float = 0.7
    first_month: int = 1
    additions: tuple[str, ...] = ("water",)
    excise_warehouse: bool | None = None  # all its time in an excise warehouse or permitted place; None: not said


@dataclass(frozen=True)
class BillSheet:
    """A bill with the house it is meant for and what is asked of it; prices may be missing."""

    bill: Bill
    plant: Plant
    cask: CaskPlan | None  # None for beer
    categories: tuple[str, ...]
    prices: dict[str, float]
    currency: str
    date: dt.date
    purpose: str = "whisky"  # whisky / beer
    target_attenuation_pct: float | None = None  # apparent, of a brewer


@dataclass(frozen=True)
class Enquiry:
    """One question with all that is needed to answer it."""

    title: str
    customer: str
    question: str
    adviser: str
    date: dt.date
    valid_days: int
    categories: tuple[str, ...]
    purpose: str
    currency: str
    plant: Plant
    present: Bill
    offered: tuple[Offered, ...]
    groups: tuple[Group, ...]
    limits: Limits
    cask: CaskPlan
    record: PlantRecord | None = None
    processing_cost_per_t: float = 0.0
    grid_parts: int = 100
    most_materials: int = 5
    invented: bool = False
    release: ReleasePrices | None = None  # None: no money beyond the new spirit is worked out
    claim: ClaimAsked | None = None  # None: no casks were read, so no maturity is shown
