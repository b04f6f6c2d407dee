"""How much of a malt, for how long: what is asked, and the series of doses that would find out. See docs/ageing.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from gristwright.basics import Band
from gristwright.records.ageing import AgeClaim, ProofOption
from gristwright.records.fields import Described, Number, Percent
from gristwright.records.results import BillResult, Fact, Figure, Withheld


@dataclass(frozen=True, kw_only=True)
class DoseAsked:
    """The question how much of a lot lets a spirit of some years read like an older one."""

    of: Annotated[str, Described("Dosed", "A lot on offer, or a group: its lots in equal parts.")]
    from_parts: Annotated[int, Percent("From")]
    to_parts: Annotated[int, Percent("To")]
    years: Annotated[float, Number("The spirit lies", "years", 0.5, 50.0)]
    reads_low: Annotated[float, Number("It should read like, from", "years", 0.5, 50.0)]
    reads_high: Annotated[float, Number("It should read like, to", "years", 0.5, 50.0)]
    steps: Annotated[int, Number("Doses in the series", "doses", 1, 8)] = 5
    instead_of: Annotated[
        str, Described("In place of", "A lot of today's bill. Empty: all the others, as they stand to each other.")
    ] = ""
    ladder_years: Annotated[
        tuple[Annotated[float, Number("Age of references", "years", 0.0, 100.0)], ...],
        Described("Ages of the reference casks", "Archived casks of the same wood and store."),
    ] = (3.0, 6.0, 8.0, 12.0)
    assessors: Annotated[int, Number("Assessors", "people", 3, 60)] = 12
    markers: Annotated[int, Number("Markers analysed", "markers", 2, 12)] = 4
    power_pct: Annotated[float, Number("Found in so many of the trials", "%", 50.0, 99.0)] = 80.0
    least_casks: Annotated[int, Number("At least so many casks an arm", "casks", 3, 24, "Common practice: 6.")] = 6
    cask_cost: Annotated[float, Number("A cask", "money", 0.0, 1e6)] | None = None
    analysis_cost: Annotated[float, Number("Analysis of a sample", "money", 0.0, 1e6)] | None = None
    sitting_cost: Annotated[float, Number("A sitting of the panel", "money", 0.0, 1e6)] | None = None

    @property
    def claim(self) -> AgeClaim:
        """What one would like to say."""
        return AgeClaim(self.years, self.reads_low, self.reads_high)


@dataclass(frozen=True)
class DoseStage:
    """One look in the series: after so many years, what is looked at, and what makes a dose stop.

    `stops_below` is the least that goes on, right answers or years between the arms on the panel's scale.
    `stops_true` and `stops_nothing` are the shares of trials in which a dose that truly reads as asked, and one that
    does nothing, stop here.
    """

    years: float
    what: str
    rule: str
    stops_below: float
    unit: str
    stops_true: float
    stops_nothing: float
    sittings: int
    cost: float | None


@dataclass(frozen=True)
class DoseStep:
    """One dose: what it gives up against today's bill on the same draws, and what it takes to prove it.

    `stopped_by` names what stops such a bill being mashed at all.
    """

    pct: float
    result: BillResult
    changes: dict[str, Figure]
    withheld: Withheld | None
    needed_years: Band | None  # older than its age for it to pay; None without prices at release
    felt: tuple[str, ...]  # titles of markers likely felt and raised against today's
    mashes: int  # that fill the arm's casks
    spirit_cost: float | None  # more for the spirit in the arm's casks than today's would cost
    cost: float | None  # of the proof of this dose alone, spirit included
    order: int  # 1 is tried first; 0 is not to be mashed
    stopped_by: tuple[str, ...]


@dataclass(frozen=True)
class DosePlan:
    """The series: the line that is of use first, every dose, the looks with their rules, what cannot be shown."""

    asked: DoseAsked
    titles: tuple[str, ...]  # of the lots dosed
    answer: tuple[str, ...]
    steps: tuple[DoseStep, ...]
    casks: int  # of a dose, and as many of today's
    stages: tuple[DoseStage, ...]  # the last is the one on which something is claimed
    older: ProofOption | None  # the trial that shows "older than it is"
    reads: ProofOption | None  # the trial that shows the age asked for
    largest: ProofOption  # that was looked at
    reads_years: float  # what it is taken to read when the claim is true
    together_cost: float | None  # of all doses that may be mashed, in one trial
    facts: tuple[Fact, ...]
    currency: str
    left_out: tuple[str, ...] = ()  # doses whose grist has no balance, and why
