"""What a customer asks, and within which limits."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Annotated, Literal, TypeAlias

from gristwright.basics import Problem, Refused, at
from gristwright.records.ageing import ClaimAsked
from gristwright.records.bill import WHOLE, Bill
from gristwright.records.cask import CaskKind, Climate, EntryStrength, LaterStay
from gristwright.records.dose import DoseAsked
from gristwright.records.fields import LATER, Described, Number, Percent
from gristwright.records.give_gain import ReleasePrices
from gristwright.records.plant import Plant, PlantRecord

Purpose: TypeAlias = Literal["whisky", "beer"]
Language: TypeAlias = Literal["en", "de"]
Attenuation: TypeAlias = Annotated[
    float, Number("Apparent attenuation aimed at", "%", 30.0, 100.0, "Of beer; a board speaks of it.")
]
Price: TypeAlias = Annotated[float, Number("Price a tonne", "money a tonne", 0.0, 20_000.0)]


@dataclass(frozen=True)
class Offered:
    """A lot on offer: its price per tonne as it is, and the least and most of it the customer will take [0.01 %]."""

    lot_id: Annotated[str, Described("Lot")]
    price_per_t: Price
    least_parts: Annotated[int, Percent("At least")] = 0
    most_parts: Annotated[int, Percent("At most")] = WHOLE
    for_character: (
        Annotated[
            bool,
            Described(
                "Bought for character",
                "True: its share is no objective. False: bought for alcohol. Not said: as its type usually is.",
            ),
        ]
        | None
    ) = None


@dataclass(frozen=True)
class Group:
    """A bound on several lots together [0.01 %]."""

    name: Annotated[str, Described("Name")]
    lot_ids: Annotated[tuple[str, ...], Described("Lots")]
    least_parts: Annotated[int, Percent("At least")] = 0
    most_parts: Annotated[int, Percent("At most")] = WHOLE


@dataclass(frozen=True)
class Limits:
    """What the customer will not go beyond; None means no limit."""

    least_lpa_per_t: Annotated[float, Number("At least, pure alcohol from a tonne", "L/t", 0.0, 500.0)] | None = None
    most_cost_per_lpa: (
        Annotated[float, Number("At most, malt and processing for a litre of it", "money a litre", 0.0, 1000.0)] | None
    ) = None
    least_wash_abv_pct: Annotated[float, Number("At least, strength of the wash", "%vol", 0.0, 20.0)] | None = None
    most_original_gravity_sg: (
        Annotated[float, Number("At most, original gravity", "SG", 1.0, 1.15, "Empty: 1.085; of beer no limit.")] | None
    ) = None
    # Of beer.
    least_original_gravity_degP: (
        Annotated[float, Number("At least, original extract", "degP", 1.0, 35.0, "With the house's litres of wort.")]
        | None
    ) = field(default=None, metadata=LATER)
    most_original_gravity_degP: (
        Annotated[float, Number("At most, original extract", "degP", 1.0, 35.0, "With the house's litres of wort.")]
        | None
    ) = field(default=None, metadata=LATER)
    least_colour_EBC: Annotated[float, Number("At least, colour", "EBC", 0.0, 500.0)] | None = field(
        default=None, metadata=LATER
    )
    most_colour_EBC: Annotated[float, Number("At most, colour", "EBC", 0.0, 500.0)] | None = field(
        default=None, metadata=LATER
    )
    least_limit_attenuation_pct: (
        Annotated[float, Number("At least, real limit attenuation", "%", 30.0, 95.0)] | None
    ) = field(default=None, metadata=LATER)
    least_extract_yield_pct: (
        Annotated[float, Number("At least, extract yield of the brewhouse", "% of the grist", 30.0, 100.0)] | None
    ) = field(default=None, metadata=LATER)
    least_fan_mg_per_L: (
        Annotated[float, Number("At least, free amino nitrogen of the wort", "mg/L", 0.0, 600.0)] | None
    ) = field(default=None, metadata=LATER)
    most_beta_glucan_mg_per_L: (
        Annotated[float, Number("At most, beta-glucan of the wort", "mg/L", 0.0, 10_000.0)] | None
    ) = field(default=None, metadata=LATER)
    most_cost_per_hL: Annotated[float, Number("At most, malt and grain", "money a hL of wort", 0.0, 1000.0)] | None = (
        field(default=None, metadata=LATER)
    )

    def said_of(self, brews: bool) -> tuple[str, ...]:
        """The limits that are said and belong to beer, or to spirit."""
        return tuple(name for name in (OF_BEER if brews else OF_SPIRIT) if getattr(self, name) is not None)


# Which limits are asked of one kind of work alone.
OF_SPIRIT = ("least_lpa_per_t", "most_cost_per_lpa", "least_wash_abv_pct")
OF_BEER = (
    "least_original_gravity_degP", "most_original_gravity_degP", "least_colour_EBC", "most_colour_EBC",
    "least_limit_attenuation_pct", "least_extract_yield_pct", "least_fan_mg_per_L", "most_beta_glucan_mg_per_L",
    "most_cost_per_hL",
)  # fmt: skip


# Regulation (EU) 2019/787, Annex I: not below 40 %vol. What lies lower is for the law to fail, not for the reader.
BottleStrength: TypeAlias = Annotated[float, Number("Strength in the bottle", "%vol", 30.0, 95.0)]
Markets: TypeAlias = Annotated[
    tuple[str, ...],
    Described("Markets it is to be sold in", "Country codes, such as DE and US; the house's own is judged anyway."),
]


@dataclass(frozen=True)
class CaskPlan:
    """What will become of the spirit."""

    kind: Annotated[CaskKind, Described("Kind of cask", "A name in cask_kinds.csv, or a table that says more.")]
    climate: Annotated[Climate, Described("Store", "A name in climates.csv, or a table with twelve months.")]
    entry_abv_pct: EntryStrength
    years: Annotated[float, Number("Years in the cask", "years", 0.0, 50.0)]
    bottle_abv_pct: BottleStrength
    bottle_L: Annotated[float, Number("A bottle holds", "L", 0.02, 5.0)] = 0.7
    first_month: Annotated[int, Number("Month of filling", "", 1, 12, "1 is January.")] = 1
    additions: Annotated[tuple[str, ...], Described("What is added before bottling", "Water, E150a, ...")] = ("water",)
    excise_warehouse: Annotated[bool, Described("All its time in an excise warehouse or the like")] | None = None
    one_season: (
        Annotated[bool, Described("All distilled in one season", "January to June, or July to December, of one year.")]
        | None
    ) = field(default=None, metadata=LATER)
    stays: Annotated[
        tuple[LaterStay, ...],
        Described("Casks and vats behind the first", "For the law alone: the forecast follows the first cask."),
    ] = field(default=(), metadata=LATER)


@dataclass(frozen=True, kw_only=True)
class BillTerms:
    """What is asked of one bill, and at which prices."""

    categories: Annotated[
        tuple[str, ...], Described("Names it should be allowed to carry", "Keys of docs/law.md; none for beer.")
    ] = ()
    prices: Annotated[
        dict[str, Price],
        Described("Prices", "Lot = money a tonne as it is; without one for every lot there is no cost."),
    ] = field(default_factory=dict)
    currency: Annotated[str, Described("Currency", "Three letters, such as EUR.")] = ""
    date: Annotated[dt.date, Described("Day of the law", "Without quotes.")]
    purpose: Annotated[Purpose, Described("Purpose", "Beer for a plant that boils its wort.")] = "whisky"
    target_attenuation_pct: Attenuation | None = None
    markets: Markets = field(default=(), metadata=LATER)


@dataclass(frozen=True, kw_only=True)
class BillSheet(BillTerms):
    """A bill with the house it is meant for and what is asked of it; prices may be missing."""

    bill: Bill
    plant: Plant
    cask: CaskPlan | None  # None for beer


@dataclass(frozen=True, kw_only=True)
class EnquiryTerms:
    """What is asked, by whom, within which limits, and what is on offer."""

    title: Annotated[str, Described("Title")]
    customer: Annotated[str, Described("Customer")]
    question: Annotated[str, Described("Question")]
    adviser: Annotated[str, Described("Adviser")]
    date: Annotated[
        dt.date,
        Described(
            "Date of the enquiry",
            "The law is read as it stands on this day. The desk issues an answer on the day it is found.",
        ),
    ]
    valid_days: Annotated[int, Number("Days the answer holds", "days", 1, 730)] = 90
    categories: Annotated[
        tuple[str, ...], Described("Names the spirit should be allowed to carry", "Keys of docs/law.md.")
    ] = ()
    markets: Markets = field(default=(), metadata=LATER)
    purpose: Annotated[Purpose, Described("Purpose", "Beer is of boiled wort.")] = "whisky"
    target_attenuation_pct: Attenuation | None = field(default=None, metadata=LATER)
    currency: Annotated[str, Described("Currency", "Three letters, such as EUR.")]
    offered: Annotated[tuple[Offered, ...], Described("On offer", "Every lot of today's bill must be among them.")] = ()
    groups: Annotated[tuple[Group, ...], Described("Bounds on several lots together")] = ()
    limits: Annotated[Limits, Described("Limits", "Leave empty what is no limit.")] = Limits()
    record: (
        Annotated[
            PlantRecord,
            Described("The house's own average of today's bill", "It moves every offer to where the house runs."),
        ]
        | None
    ) = None
    processing_cost_per_t: Annotated[
        float, Number("Processing cost of a tonne mashed", "money a tonne", 0.0, 5000.0)
    ] = 0.0
    grid_parts: Annotated[int, Percent("Step of the search", "1, 2, 2.5, 4, 5, 10, 20 or 25.")] = 100
    most_materials: Annotated[int, Number("Most materials in one bill", "materials", 1, 8)] = 5
    invented: Annotated[bool, Described("Everything in it is invented")] = False
    release: (
        Annotated[
            ReleasePrices,
            Described("Prices at release", "See docs/give_and_gain.md. None: no money of a bottled litre."),
        ]
        | None
    ) = None
    language: Annotated[
        Language, Described("Language of the customer's pages", "en or de; what stands behind them is English.")
    ] = field(default="en", metadata=LATER)
    dose: (
        Annotated[
            DoseAsked,
            Described("How much of a malt, for how long", "See docs/ageing.md. None: no series of doses is planned."),
        ]
        | None
    ) = field(default=None, metadata=LATER)


@dataclass(frozen=True, kw_only=True)
class SpiritEnquiry(EnquiryTerms):
    """One question with all that is needed to follow a bill to new spirit or to beer; nothing is said of a cask."""

    plant: Plant
    present: Bill
    asked: tuple[Bill, ...] = field(default=(), metadata=LATER)  # answered whether or not a search would offer them

    @property
    def brews(self) -> bool:
        """Whether beer is asked about."""
        return self.purpose == "beer"


@dataclass(frozen=True, kw_only=True)
class Enquiry(SpiritEnquiry):
    """One question with all that is needed to answer it."""

    cask: CaskPlan | None = None  # None: a brewer's
    claim: ClaimAsked | None = None  # None: no casks were read, so no maturity is shown

    @property
    def laid_down(self) -> CaskPlan:
        """The cask that a distiller's spirit is meant for. Raises Refused where there is none."""
        if self.cask is None:
            raise Refused([Problem(at("plant", "cask"), "is missing.", "Say what the spirit is filled into.")])
        return self.cask
