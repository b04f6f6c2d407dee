"""Casks of known age and casks under test, what was measured in them, and what may be said of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from enum import StrEnum

from gristwright.basics import Assumption, Band
from gristwright.records.fields import LATER
from gristwright.records.results import Fact


@dataclass(frozen=True)
class CaskFacts:
    """What must be alike before two casks are compared; empty or None where the file does not say."""

    wood: str = ""
    fill: str = ""
    entry_abv_pct: float | None = None
    store: str = ""
    capacity_L: float | None = None


@dataclass(frozen=True)
class Sample:
    """One sample of a cask: its age and what was measured, in the units of its table."""

    row: int
    cask: str
    arm: str  # empty for a reference cask
    years: float
    facts: CaskFacts
    values: dict[str, float]


@dataclass(frozen=True)
class Score:
    """What one assessor gave one cask in one sitting."""

    row: int
    cask: str
    arm: str
    years: float
    facts: CaskFacts
    assessor: str
    sitting: str
    values: dict[str, float]


@dataclass(frozen=True)
class CaskTable:
    """One file of casks: samples, scores, the unit of each marker and the ends of each scale.

    The notes are the scales that the file itself says speak of malt, of what is immature, or of age.
    """

    file: str
    samples: tuple[Sample, ...]
    scores: tuple[Score, ...]
    units: dict[str, str]
    scales: dict[str, tuple[float, float]]
    invented: bool = False
    malt_notes: tuple[str, ...] = ()
    immature_notes: tuple[str, ...] = field(default=(), metadata=LATER)
    age_notes: tuple[str, ...] = field(default=(), metadata=LATER)

    @property
    def speaks_of(self) -> dict[str, str]:
        """What the file says a scale speaks of, by scale: malt, immature or age."""
        said = {"malt": self.malt_notes, "immature": self.immature_notes, "age": self.age_notes}
        return {name: kind for kind, names in said.items() for name in names}


@dataclass(frozen=True)
class AgeClaim:
    """What somebody would like to say: a spirit of `years` reads like one of `low` to `high` years."""

    years: float
    low: float
    high: float

    def words(self) -> str:
        """The claim as a person says it."""
        span = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        return f"at {self.years:g} years it reads like {span} years"


@dataclass(frozen=True)
class ArmGrist:
    """What an arm's spirit was mashed from: type of malt or grain and its share [0.01 %]."""

    arm: str
    parts: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class ClaimAsked:
    """A claim of age that goes with an enquiry: both files of casks, and the grist behind each arm."""

    claims: tuple[AgeClaim, ...]
    ladder: CaskTable
    arms: CaskTable
    grists: tuple[ArmGrist, ...] = ()
    model: str = "line"
    count: tuple[str, ...] = ()


class ClaimStanding(StrEnum):
    """How a claim stands after the evidence; each word is shown."""

    SUPPORTED = "supported"
    REFUTED = "refuted"
    OPEN = "not settled"
    UNANSWERABLE = "cannot be answered"
    NONE = "no claim was made"


@dataclass(frozen=True)
class AgeLine:
    """The age that one marker, all of them, or the panel give back. Ends are None where there is none.

    `form` is interval, two rays, all ages or none; `role` is marker, all markers, panel, or notes: the panel's scales
    that speak of immaturity or age, taken together.
    """

    key: str
    title: str
    role: str
    estimate: float | None
    form: str
    low: float | None
    high: float | None
    casks: int
    ladder_casks: int
    freedom: float
    words: str
    used: bool
    note: str = ""


@dataclass(frozen=True)
class MaltLine:
    """A note of the panel: the arm less the ladder at the arm's own age, on the panel's scale.

    One that is `judged` is a note of malt and may say that malt's own flavour is raised; another is shown alone.
    `speaks_of` is malt, immature or age, empty where neither table nor file says it.
    """

    attribute: str
    scale: str
    difference: Band
    raised: bool
    words: str
    judged: bool
    speaks_of: str = ""


@dataclass(frozen=True)
class LadderPoint:
    """One cask mean as drawn."""

    marker: str
    unit: str
    years: float
    value: float
    arm: str


@dataclass(frozen=True)
class ArmAnswer:
    """What may be said of one arm at one age."""

    arm: str
    years: float
    casks: int
    ladder_casks: int
    rungs: tuple[tuple[float, int], ...]
    wood: str
    statement: str  # key of the statement
    sentence: str
    claim: AgeClaim | None
    verdict: ClaimStanding
    verdict_words: str
    lines: tuple[AgeLine, ...]
    malt: tuple[MaltLine, ...]
    agreement: float | None  # p of one age for all markers
    reasons: tuple[str, ...]
    settle: str
    points: tuple[LadderPoint, ...]

    def line(self, role: str) -> AgeLine | None:
        """The line of all markers or of the panel."""
        return next((line for line in self.lines if line.role == role), None)

    @property
    def gained_years(self) -> Band | None:
        """Years read beyond its own age, only where the statement is that it reads older: the least of its lines."""
        if self.statement != "reads_older":
            return None
        lines = [self.line("all markers"), self.line("panel"), self.line("notes")]
        bands = [(b.low, b.estimate, b.high) for b in lines if b and b.used and b.low is not None]
        low, middle, high = (min(x for x in column if x is not None) for column in zip(*bands, strict=True))
        return Band(low - self.years, middle - self.years, high - self.years)


@dataclass(frozen=True)
class ClaimAnswer:
    """Every arm's answer with what it rests on."""

    title: str
    answers: tuple[ArmAnswer, ...]
    model: str
    confidence: float
    method: tuple[Fact, ...]
    label: tuple[Fact, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    inputs: tuple[tuple[str, str], ...]
    issued: dt.date
    invented: bool


@dataclass(frozen=True)
class ProofOption:
    """One size of trial: how often it would show the claim if true, and say older if not."""

    casks_per_arm: int
    ladder_per_age: int
    assessors: int
    samples: int
    power: float  # of the claim
    power_older: float  # of "older than it is"
    false_older: float
    half_width_years: float
    cost: float | None


@dataclass(frozen=True)
class ProofPlan:
    """How to prove a claim: the size asked, others beside it, dates, cost, draw of casks and codes."""

    claim: AgeClaim
    reads_years: float  # what the spirit is taken to read when the claim is true
    power_asked: float
    false_rate: float
    arms: int
    ladder_ages: tuple[float, ...]
    markers: int
    chosen: ProofOption | None
    options: tuple[ProofOption, ...]
    years: float
    years_without_archive: float
    calendar: tuple[tuple[float, str], ...]
    draw: tuple[tuple[str, str], ...]  # cask number, arm
    codes: tuple[tuple[str, str, int], ...]  # sample, three digits, sitting
    steps: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    seed: int
    members: int
    levers: tuple[tuple[str, float], ...] = ()  # what else would help, and the power then; empty when one was chosen
    older: ProofOption | None = None  # the smallest that shows "older than it is", without a number
