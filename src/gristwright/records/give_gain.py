"""What a bill gives up in litres, what maturity is claimed for it, and what must be true for it to pay."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from gristwright.basics import Band
from gristwright.records.fields import LATER, Number


@dataclass(frozen=True)
class ReleasePrices:
    """The user's own figures of what comes after the mash house; money in the currency of the enquiry."""

    energy_per_t: Annotated[
        float,
        Number("Energy of a tonne mashed", "money a tonne", 0.0, 5000.0, "Where the processing cost does not hold it."),
    ] = 0.0
    cask_price: Annotated[float, Number("Price of a cask", "money a cask", 0.0, 20_000.0)] = 0.0
    fills: Annotated[float, Number("Fills that pay for it", "fills", 1.0, 10.0)] = 1.0
    rent_per_cask_year: Annotated[float, Number("Rent of a cask for a year", "money a cask and year", 0.0, 2000.0)] = (
        0.0
    )
    interest_pct_per_year: Annotated[float, Number("Interest", "% a year", 0.0, 50.0)] = 0.0
    evaporation_low_pct_per_year: (
        Annotated[
            float,
            Number(
                "Evaporation of alcohol, low",
                "% a year",
                0.0,
                20.0,
                "Of the alcohol left. Empty: as forecast.",
            ),
        ]
        | None
    ) = None
    evaporation_high_pct_per_year: (
        Annotated[float, Number("Evaporation of alcohol, high", "% a year", 0.0, 20.0)] | None
    ) = None
    bottling_loss_pct: Annotated[float, Number("Lost in bottling", "%", 0.0, 20.0)] = 1.0
    dry_goods_per_L: Annotated[
        float,
        Number(
            "Bottling and dry goods, duty-free",
            "money a litre",
            0.0,
            500.0,
            "Bottle, label, box and the work of bottling, a litre as bottled.",
        ),
    ] = 0.0
    new_make_cost_per_lpa: (
        Annotated[
            float,
            Number(
                "New make of today's bill, by your own books",
                "money a litre of pure alcohol",
                0.0,
                1000.0,
                "Malt, processing and energy in it, no cask. Empty: as computed here.",
            ),
        ]
        | None
    ) = field(default=None, metadata=LATER)


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
