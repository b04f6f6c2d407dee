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
