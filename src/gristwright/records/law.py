"""What the law asks about a whisky, and what a rule answers."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from gristwright.basics import Verdict


@dataclass(frozen=True)
class GristPart:
    """One part of the mash as the law sees it; shares in 0.01 % of the mass as it is and of the dry mass."""

    species: str  # a cereal of reference/law/words.toml; "unknown" when not known
    malted: bool | None
    form: str  # whole / flour of whole / fraction / unknown
    process: str  # none / caramel / roast / smoked / unknown
    parts_asis: int
    parts_dry: int | None


@dataclass(frozen=True)
class CaskStay:
    """Time in one cask, one stay after the other; None means not known. Steel or plastic is a `wood` that is none."""

    wood: str | None
    capacity_L: float | None
    charred: bool | None
    new: bool | None
    date_in: dt.date | None
    date_out: dt.date | None
    country: str | None = None


@dataclass(frozen=True)
class WhiskyFacts:
    """Everything a category asks; None means not known, and what is not known never passes.

    Strengths in %vol at 20 degC. An empty tuple is known to be empty: `stays=()` is spirit that saw no cask.
    """

    grist: tuple[GristPart, ...]
    enzymes: str | None = None  # malt only / added natural / added microbial / koji
    ferment_agents: str | None = None  # yeast / yeast and others
    country: str | None = None  # of all steps, ISO 3166; Scotland is "GB-SCT", Northern Ireland "GB-NIR"
    one_distillery: bool | None = None
    still: str | None = None  # batch pot / column
    distillation_abv_pct: tuple[float, ...] | None = None  # first run to last, of the whole spirit of each run
    entry_abv_pct: float | None = None
    stays: tuple[CaskStay, ...] | None = None
    additions: tuple[str, ...] | None = None  # water / E150a / sugar / flavouring / neutral spirit / other whisky
    bottle_abv_pct: float | None = None
    places: tuple[tuple[str, str], ...] = ()  # (step, country) where a step was not done in `country`
    warehouse: bool | None = None  # all its time in an excise warehouse or a place the excise permits
    distilled: tuple[dt.date, dt.date] | None = None  # first and last day of distillation
    one_season: bool | None = None  # all distilled in one half of one year, where the days are not given
    bottled: dt.date | None = None  # day of bottling, planned or past; None: the day it leaves its last cask


@dataclass(frozen=True)
class SettledBy:
    """The one line that settles what is not known; `file` is empty where no file of ours can."""

    file: str
    line: str

    @property
    def words(self) -> str:
        """As a sentence says it, such as plant.toml: [cask.kind] charred = true."""
        return f"{self.file}: {self.line}" if self.file else self.line


@dataclass(frozen=True)
class ShareFound:
    """What a rule on shares counted [%], as weighed and dry; a pair is least and most where traits are not known."""

    counted: str  # such as malted barley
    asis_pct: tuple[float, float]
    dry_pct: tuple[float, float] | None  # None: no dry shares given
    dry_reach_pct: tuple[float, float] | None  # then what usual moistures could make of it
    op: str
    limit_pct: float


@dataclass(frozen=True)
class RuleAnswer:
    """One rule of a category on one bill, with its reason in a sentence."""

    rule_id: str
    verdict: Verdict
    reason: str
    source: str
    flag: str = ""  # an interpretation a licensed person should confirm
    sentence: str = ""  # the rule in our own words
    standing: str = ""  # how the rule text was seen
    settled_by: tuple[SettledBy, ...] = ()  # of what is not known
    share: ShareFound | None = None  # of a rule on shares
    basis_risk: bool = False  # as weighed and dry it stands, or may stand, on different sides of the limit

    @property
    def told(self) -> str:
        """The reason, and what settles it."""
        lines = "; ".join(one.words for one in self.settled_by)
        return f"{self.reason} Settled by {lines}." if lines else self.reason


@dataclass(frozen=True)
class CategoryAnswer:
    """A whole category: the verdict, the answers rule by rule, the date of the rule text and the day it was read."""

    category: str
    title: str
    market: str
    verdict: Verdict
    answers: tuple[RuleAnswer, ...]
    version_date: dt.date
    read_on: dt.date
    warnings: tuple[str, ...] = ()
    source: str = ""
    confidence: str = ""

    @property
    def deciding(self) -> tuple[RuleAnswer, ...]:
        """The rules that make the verdict what it is; none of a pass."""
        return () if self.verdict is Verdict.PASS else tuple(a for a in self.answers if a.verdict is self.verdict)


@dataclass(frozen=True)
class LawHeadline:
    """One category as a short answer says it: the verdict, the rule that decides it, and what would settle it."""

    category: str
    title: str
    market: str
    verdict: Verdict
    asked: bool  # by name; else judged for the house's country or a market
    rule: RuleAnswer | None  # the first that makes the verdict what it is; None of a pass
    open_rules: int  # so many rules stand as badly as that one
    basis: RuleAnswer | None  # the rule whose verdict depends, or may depend, on shares as weighed or dry
    covers: tuple[str, ...] = ()  # titles of the names that stand with it, as it takes over their rules

    @property
    def settled_by(self) -> tuple[SettledBy, ...]:
        """What settles the rule that decides."""
        return self.rule.settled_by if self.rule else ()


@dataclass(frozen=True)
class LawHeadlines:
    """A bill's names in short: those asked for and the best that fit, and what else was judged and fails."""

    entries: tuple[LawHeadline, ...]
    fails: tuple[LawHeadline, ...]  # judged unasked
