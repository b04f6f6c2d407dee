"""What a bill gives up in litres, what maturity is claimed for it, and what must be true for it to pay."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Band


@dataclass(frozen=True)
class ReleasePrices:
    """The user's own figures of what comes after the mash house; money in the currency of the enquiry."""

    energy_per_t: float = 0.0  # a tonne mashed, where the processing cost does not hold it
    cask_price: float = 0.0
    fills: float = 1.0
    rent_per_cask_year: float = 0.0
    interest_pct_per_year: float = 0.0
    evaporation_low_pct_per_year: float | None = None  # of the alcohol left; None: as the cask is forecast
    evaporation_high_pct_per_year: float | None = None
    bottling_loss_pct: float = 1.0
    dry_goods_per_L: float = 0.0  # bottle, label, box and the work of bottling, a litre as bottled, duty-free


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
    """One bill's cost at release, and the years it would have to save.

    `parts` [money a litre as bottled] come from one run with every input at its middle, and add up.
    """

    name: str
    cost_per_lpa: Band  # new spirit: malt, processing, energy, cask
    at_release_per_lpa: Band
    per_bottled_L: Band
    more_per_bottled_L: Band | None  # against the present bill on the same draws; None for that bill itself
    needed_years: Band | None
    must_be_true: str
    parts: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class GiveGain:
    """The plane, and the money where the user's own prices are given."""

    points: tuple[GiveGainPoint, ...]
    costs: tuple[ReleaseCost, ...]
    years: float
    currency: str
    evaporation: Band | None  # % of the alcohol left a year, None where no money is worked out
    notes: tuple[str, ...]
