"""What a job hands back: figures with their bands, boards, the litres ledger, offers, the whole recommendation."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Self

from gristwright.basics import Assumption, Band, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.records.bill import Bill
from gristwright.records.law import CategoryAnswer
from gristwright.records.lot import LotIdentity
from gristwright.records.markers_through import MarkerAmount, MarkerTrade
from gristwright.records.remedies import Remedy
from gristwright.records.said import Amount, Said

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

if TYPE_CHECKING:  # a plan holds bills, and an answer its plan
    from gristwright.records.dose import DosePlan


@dataclass(frozen=True)
class Figure:
    """One quantity of a result: low, middle, high and the names of the assumptions it rests on."""

    key: str
    label: str
    unit: str
    band: Band
    decimals: int
    rests_on: tuple[str, ...]

    @classmethod
    def of(
        cls,
        key: str,
        label: str,
        unit: str,
        values: FloatArray,
        decimals: int,
        runs: Runs,
        *given: str,
        also: tuple[FloatArray, ...] = (),
    ) -> Self:
        """The figure of values (members,), resting on what moves them, on what moves those beside them, and on what
        was `given` and is not drawn."""
        rests_on = tuple(dict.fromkeys((*runs.rests_on(values, *also), *given)))
        return cls(key, label, unit, runs.band(values), decimals, rests_on)


@dataclass(frozen=True)
class LedgerRow:
    """One line of the litres ledger, litres of pure alcohol (20 degC) per tonne of grist as it is.

    `kind` is start, loss or level. `reference` comes from the one run that adds up exactly; the band stands beside it.
    """

    key: str
    label: str
    kind: str
    reference: float
    band: Band
    rests_on: tuple[str, ...]


@dataclass(frozen=True)
class Ledger:
    """Where each litre of pure alcohol goes, from the sugar in the grain to the bottle."""

    rows: tuple[LedgerRow, ...]
    closure: float  # largest relative error of the balance over all members


@dataclass(frozen=True)
class Board:
    """One thing a bill must satisfy: how it stands, how likely it is not in order, why, and what helps."""

    key: str
    title: str
    light: Light
    probability_red: float
    figure: Figure | None
    sentence: str
    remedy: str
    standing: str
    source: str
    remedies: tuple[Remedy, ...] = ()  # where they were worked out: `remedy` is then the sentence of these


@dataclass(frozen=True)
class Withheld:
    """Why figures of a bill are not given, with the figures that decide it; and what is not given."""

    sentence: str
    because: str  # the reason alone, as part of a sentence
    reasons: tuple[Figure, ...]
    names: tuple[tuple[str, str, str], ...] = ()  # key, label and unit of each figure that is not given


@dataclass(frozen=True)
class BillResult:
    """Everything computed for one bill. Where something is `withheld`, figures and ledger hold none of it."""

    bill: Bill
    labels: tuple[tuple[str, str, float], ...]  # lot id, what it is, share in per cent
    figures: dict[str, Figure]
    ledger: Ledger | None  # None for beer, and where the litres are withheld
    boards: tuple[Board, ...]
    law: tuple[CategoryAnswer, ...]
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()  # what is not judged of it, and what to beware of
    withheld: Withheld | None = None
    lots: dict[str, LotIdentity] = field(default_factory=dict)  # by name, of every lot in the bill
    law_beside: tuple[CategoryAnswer, ...] = ()  # judged unasked: those of the house's country and of its markets
    markers: tuple[MarkerAmount, ...] = ()  # what it brings into the spirit; none of beer

    @property
    def litres(self) -> Ledger:
        """The ledger of a distiller's bill whose litres are given."""
        assert self.ledger is not None
        return self.ledger

    @property
    def margin(self) -> float:
        """The probability that the worst board is not in order."""
        return max(board.probability_red for board in self.boards)


@dataclass(frozen=True)
class Unmet:
    """A demand that a bill fails: in words, by how much, and both to be said in a language."""

    demand: str
    short: str
    said: Said
    by: Amount

    @property
    def against(self) -> str:
        """The same as part of a sentence against the bill."""
        named = self.demand.startswith("may be called ")
        return f"it may not be called {self.demand[14:]}" if named else f"{self.demand} is missed by {self.short}"


@dataclass(frozen=True)
class Offer:
    """A bill beside the present one, as differences from it on the same draws: worth offering, or asked about.

    Where the litres of either are withheld, so are the changes. `unmet` are the demands that one asked about fails, and
    `sound` says whether no board speaks against it more than is let pass.
    """

    result: BillResult
    changes: dict[str, Figure]
    reason: str
    words: tuple[str, ...]
    withheld: Withheld | None = None  # of the changes
    unmet: tuple[Unmet, ...] = ()
    sound: bool = True


@dataclass(frozen=True)
class Relaxation:
    """One demand of a conflicting set and what giving way on it would bring."""

    demand: str
    gives: str
    said: Said  # the demand, to be said in a language


@dataclass(frozen=True)
class Stopped:
    """A board that stops bills which meet every demand, as it stands for the one of them it speaks least against."""

    bills: int
    least: str  # name of that bill
    board: Board
    most_let_pass: float  # probability of being out of order up to which a bill is offered


@dataclass(frozen=True)
class Search:
    """How the bills were looked for."""

    step_pct: float  # of the declared grid
    bills_on_grid: int  # inside the ranges, counted exactly
    bills_evaluated: int
    bills_allowed: int
    bills_not_beaten: int
    failed_by_demand: tuple[tuple[str, int], ...]
    conflict: tuple[Relaxation, ...] = ()
    how: str = ""  # how the grid was covered, in a sentence
    left_out: tuple[str, ...] = ()  # what meets the demands and is not offered, and why
    cheaper: str = ""  # a cheaper bill that is not offered because its litres are withheld, and why
    stopped: tuple[Stopped, ...] = ()  # where no bill can be offered: what stops those that meet the demands
    judged: int = 0  # so many of them were held against the boards
    ends: tuple[Bill, ...] = ()  # of them those at the ends of the ranges


@dataclass(frozen=True)
class Anchor:
    """How the plant's own figure was used."""

    used: bool
    sentence: str
    observed_lpa_per_t: float | None = None
    before: Band | None = None
    after: Band | None = None
    effective_members: float | None = None


@dataclass(frozen=True)
class MeasureNext:
    """An input whose halved spread narrows the answer, and by how much."""

    assumption: str
    meaning: str
    narrows: str  # the answer that gets narrower
    by: float
    unit: str
    how: str


@dataclass(frozen=True)
class Trial:
    """The first trial to run: what against what, how many mashes, when to stop."""

    offer: str
    mashes_each: int
    difference_lpa_per_t: float
    sd_between_mashes: float
    steps: tuple[str, ...]


@dataclass(frozen=True)
class Fact:
    """A line of text with its standing and source."""

    text: str
    standing: str = ""
    source: str = ""


@dataclass(frozen=True)
class Provenance:
    """What the numbers were made from and with."""

    version: str
    seed: int
    members: int
    inputs: tuple[tuple[str, str], ...]  # file name, sha256
    rule_dates: tuple[tuple[str, dt.date, dt.date], ...]  # category, text version, read on
    judged_on: dt.date
    issued: dt.date
    valid_until: dt.date


@dataclass(frozen=True)
class Recommendation:
    """The answer to an enquiry, complete enough to be signed, run and audited."""

    title: str
    customer: str
    plant: str
    adviser: str
    question: str
    invented: bool
    currency: str
    present: BillResult
    offers: tuple[Offer, ...]
    answer: tuple[str, ...]
    search: Search
    anchor: Anchor
    will_not: tuple[Fact, ...]
    assumptions: tuple[Assumption, ...]
    effects: dict[str, Band]  # name -> the trial offer's difference at the input's low, middle, high
    measure_next: tuple[MeasureNext, ...]
    trial: Trial | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    provenance: Provenance
    shown: tuple[Offer, ...] = ()  # bills at the ends of the ranges that no offer and no bill asked about stands for
    asked: tuple[Offer, ...] = ()  # the bills asked about, whether or not they would be offered
    language: str = "en"  # of the customer's pages
    typical_lots: tuple[str, ...] = ()  # lots whose certificate is silent on what was taken from their type
    purpose: str = "whisky"  # or beer
    dose: DosePlan | None = None  # where a series of doses was asked for
    trade: tuple[MarkerTrade, ...] = ()  # what the trade says of the malts on offer, beside what the numbers say

    @property
    def told(self) -> tuple[tuple[str, Offer], ...]:
        """Every bill beside the present one by what it is called: asked about, offers by letter, ends of ranges."""
        asked = ((f"Asked {number}", offer) for number, offer in enumerate(self.asked, 1))
        ends = ((f"Bill {number}", offer) for number, offer in enumerate(self.shown, 1))
        return (*asked, *zip(LETTERS, self.offers, strict=False), *ends)

    @property
    def markers(self) -> tuple[MarkerAmount, ...]:
        """Every marker that a bill spoken of brings, once, in the amount of the first of them."""
        bills = (self.present, *(offer.result for offer in (*self.asked, *self.offers, *self.shown)))
        return tuple({one.marker: one for bill in reversed(bills) for one in bill.markers}.values())
