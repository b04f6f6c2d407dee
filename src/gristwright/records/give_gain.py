"""What a bill gives up in litres, what maturity is claimed for it, and what must be true for it to pay."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Band


@dataclass(frozen=True)
class ReleasePrices:
    """The user's own figures; interest and evaporation are shares a year."""

    cask_price: float = 0.0
    fills: float = 1.0
    rent_per_cask_year: float = 0.0
    interest: float = 0.0
    bottle_dry_goods_per_L: float = 0.0
    loss_low: float = 0.01
    loss_high: float = 0.03


@dataclass(frozen=True)
class GiveGainPoint:
    """One offer on the plane. `gained_years` is None where no evidence shows any; the words say so."""

    name: str
    given_up_lpa_per_t: Band
    gained_years: Band | None
    evidence: str
    read_at_years: float | None = None  # age of the casks that were read


@dataclass(frozen=True)
class ReleaseCost:
    """One bill's cost at release, and the years it would have to save."""

    name: str
    cost_per_lpa: Band  # new spirit: malt, processing, cask
    at_release_per_lpa: Band
    per_bottled_L: Band
    more_per_bottled_L: Band | None  # against the present bill on the same draws; None for that bill itself
    needed_years: Band | None
    must_be_true: str


@dataclass(frozen=True)
class GiveGain:
    """The plane and the money."""

    points: tuple[GiveGainPoint, ...]
    costs: tuple[ReleaseCost, ...]
    years: float
    currency: str
    notes: tuple[str, ...]
