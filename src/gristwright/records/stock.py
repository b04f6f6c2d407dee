"""A stock of casks: what its ledger says line by line, each cask as it lies, and what was found out about it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from gristwright.basics import NOWHERE, Address, Assumption, Band, FloatArray, Problem
from gristwright.records.cask import CaskKind, Climate, YearlyLosses
from gristwright.records.law import CaskStay

EVENTS = ("filled", "gauged", "sampled", "topped", "moved", "emptied")


@dataclass(frozen=True)
class LedgerEntry:
    """One line of a cask ledger. Litres as gauged at `degC`, strength at 20 degC; None where nothing is said."""

    where: Address
    date: dt.date
    cask: str
    what: str  # one of EVENTS
    litres: float | None = None
    abv_pct: float | None = None
    degC: float | None = None
    method: str = "stated"
    rla_L: float | None = None
    store: str = ""
    place: str = ""
    sources: tuple[str, ...] = ()
    spirit: str = ""
    kind: CaskKind | None = None  # of a filling; None elsewhere, and where the line does not say it
    rejuvenated: bool = False
    note: str = ""


@dataclass(frozen=True)
class CaskEvent:
    """What happened to a filled cask; litres and strength at 20 degC. A gauge that was set aside is not among them."""

    date: dt.date
    what: str
    litres: float = 0.0
    abv_pct: float = 0.0
    method: str = "stated"
    store: str = ""
    where: Address = NOWHERE
    degC: float | None = None


@dataclass(frozen=True)
class StockCask:
    """One filling of one cask. `components` holds, for every spirit in it, its stays in wood from the first on."""

    cask_id: str
    kind: CaskKind
    spirit: str
    filled: dt.date
    fill_L: float
    fill_abv_pct: float
    fill_method: str
    store: str
    place: str
    events: tuple[CaskEvent, ...]
    components: tuple[tuple[CaskStay, ...], ...]
    sources: tuple[str, ...] = ()
    rejuvenated: bool = False
    emptied: dt.date | None = None
    where: Address = NOWHERE
    first_store: str = ""  # where it lay when filled
    fill_degC: float | None = None  # at which the filling was measured

    @property
    def gauges(self) -> tuple[CaskEvent, ...]:
        """The regauges, in order of time."""
        return tuple(event for event in self.events if event.what == "gauged")

    @property
    def last_gauge(self) -> tuple[dt.date, float, float, str]:
        """Day, litres, strength and method of the last gauge, the filling where there is none since."""
        last = self.gauges[-1:]
        if last:
            return last[0].date, last[0].litres, last[0].abv_pct, last[0].method
        return self.filled, self.fill_L, self.fill_abv_pct, self.fill_method


@dataclass(frozen=True)
class UnknownCask:
    """A filled cask of a kind that the ledger does not say: what its lines leave in it counts, nothing is forecast."""

    cask_id: str
    spirit: str
    store: str
    filled: dt.date
    litres: float  # at 20 degC
    rla_L: float
    where: Address = NOWHERE


@dataclass(frozen=True)
class Stock:
    """The casks that lie full on a day, the climate of every store, and what was set aside in reading the ledger."""

    on: dt.date
    casks: tuple[StockCask, ...]
    climates: dict[str, Climate]
    gone: tuple[StockCask, ...] = ()  # emptied before that day; kept for genealogy
    set_aside: tuple[Problem, ...] = ()
    unknown: tuple[UnknownCask, ...] = ()  # filled, of no kind that is said


@dataclass(frozen=True)
class CaskFinding:
    """What the gauges say of one cask: its loss over the model's, before and after them, and whether it leaks."""

    cask_id: str
    spirit: str
    store: str
    gauges: int
    prior: Band
    factor: Band
    leaking: float  # probability that its leak factor is above `multiple`
    multiple: float
    last_date: dt.date
    litres: float
    abv_pct: float
    rla_L: float


@dataclass(frozen=True)
class StoreFinding:
    """What all gauges of a store say of it: loss over the model's, and water permeance over the model's."""

    store: str
    gauged: int
    prior: Band
    factor: Band
    water_prior: Band
    water: Band


@dataclass(frozen=True)
class Regauged:
    """A stock after its gauges. `loss` and `water` are draws for the forecast, (casks, draws), in the stock's order."""

    casks: tuple[CaskFinding, ...]
    stores: tuple[StoreFinding, ...]
    loss: FloatArray
    water: FloatArray
    problems: tuple[Problem, ...]
    seed: int

    def row(self, cask_id: str) -> int:
        """The row of a cask. Raises StopIteration for one that was not asked of."""
        return next(row for row, finding in enumerate(self.casks) if finding.cask_id == cask_id)


@dataclass(frozen=True)
class LegalAge:
    """Age of the youngest component by the rule of one category, by the calendar; `sure` where every fact is known."""

    category: str
    title: str
    years: int
    months: int
    days: int
    sure: bool
    sentence: str


@dataclass(frozen=True)
class MarkerForecast:
    """A marker that wood gives or spirit makes [g per cask], today and at the last mark: never an age."""

    title: str
    origin: str
    today: Band
    last: Band
    standing: str
    note: str


@dataclass(frozen=True)
class CaskForecast:
    """One cask year by year: bands of bulk litres, strength and pure alcohol at each mark, the first being today."""

    cask: StockCask
    finding: CaskFinding
    marks: tuple[dt.date, ...]
    litres: tuple[Band, ...]
    abv_pct: tuple[Band, ...]
    rla_L: tuple[Band, ...]
    losses: YearlyLosses | None
    floor_abv_pct: float  # the strength a bottle of the category may not be under
    floor_year: Band | None  # year in which strength falls under the legal floor; None where it does not
    floor_chance: float  # share of the draws in which it does within the forecast
    neutral_humidity: float
    store_humidity: float
    ages: tuple[LegalAge, ...]
    next_gauge: dt.date
    next_gauge_why: str
    markers: tuple[MarkerForecast, ...] = ()
    markers_on: dt.date | None = None  # day of the later figure: the last at which the cask is half full
    no_markers: str = ""  # why none are given
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True)
class StockForecast:
    """A stock year by year; every band has one entry for each mark."""

    on: dt.date
    marks: tuple[dt.date, ...]
    casks: tuple[str, ...]
    rla_L: tuple[Band, ...]
    litres: tuple[Band, ...]
    by_spirit: dict[str, tuple[Band, ...]]
    by_cask: dict[str, tuple[Band, ...]]  # empty where not asked
    by_age: dict[str, tuple[float, ...]]  # age class -> mean litres of pure alcohol at each mark
    evaporated_L: tuple[Band, ...]  # pure alcohol gone since the mark before; the first is zero
    money: tuple[Band, ...]  # the same at the user's rates; empty without them
    currency: str
    bottles: tuple[Band, ...]  # that could be filled at the strength asked; empty where none was asked
    bottle_abv_pct: float
    bottle_L: float
    below_strength: tuple[Band, ...]  # casks by then too weak for that strength on their own
    members: int
    seed: int
    balance_error: float  # the worst of ethanol or water, as a share of what was in the cask
    assumptions: tuple[Assumption, ...]
    problems: tuple[Problem, ...] = field(default=())
    unknown: tuple[UnknownCask, ...] = ()  # casks of no kind that is said: in no figure above


@dataclass(frozen=True)
class Rates:
    """What a litre of pure alcohol is worth by age: from so many completed years on; the user's own."""

    currency: str
    from_years: tuple[int, ...]
    per_lpa: tuple[float, ...]


@dataclass(frozen=True)
class Learned:
    """What the regauges of like casks taught of a store before casks are filled there."""

    store: str
    wood: str
    gauged: int
    prior: Band
    factor: Band  # loss of the store over the model's
    leaking: float  # how many of the gauged casks leak, a sum of probabilities
    leaker_share: float  # believed of the casks to be filled


@dataclass(frozen=True)
class FillAnswer:
    """How many casks of one kind give the bottles asked; `casks` at the chance asked, then at 50 and 95 %."""

    kind: str
    capacity_L: float
    casks: int
    at_half: int
    at_most: int
    fill_lpa_L: float
    needed_lpa_L: float
    rla_per_cask_L: Band
    abv_pct: Band
    strong_enough: float  # chance that the casks together are at or above the bottle's strength
    learned: Learned | None = None  # None where no like cask of the store was ever gauged
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class VattingAnswer:
    """The casks for one vatting and what they give; `loss_of_value` against keeping them, in the user's money."""

    casks: tuple[str, ...]
    litres_asked: float
    abv_pct: float
    youngest_years: int
    rla_L: Band
    mixed_L: float
    mixed_abv_pct: float
    water_L: float
    surplus_L: float  # at the strength asked
    chance: float
    value_taken: float
    value_made: float
    loss_of_value: float
    currency: str
    considered: int
    left_out: tuple[str, ...] = ()
