"""The plan of a proof in words and as a view. See docs/ageing.md."""

from __future__ import annotations

from dataclasses import dataclass, field

from gristwright.basics import Standing
from gristwright.documents.assumptions import AssumedView, assumptions_view
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import percent
from gristwright.quantities.shown import counted, plain
from gristwright.records.ageing import ProofOption, ProofPlan

FORMAT = "gristwright.proof/1"
# A spread that a house may give, in words, and by which option.
OWN = {
    "ageing.marker_spread_y": ("in the markers", "--spread"),
    "ageing.panel_cask_spread_y": ("to the panel", "--panel-spread"),
}


@dataclass(frozen=True)
class LeverView:
    """Something that helps, and how likely the largest trial then shows the claim."""

    with_: str
    shows_the_claim: float


@dataclass(frozen=True)
class OptionView:
    """One size of trial."""

    casks_per_arm: int
    ladder_per_age: int
    assessors: int
    samples: int
    shows_the_claim: float
    shows_older: float
    false_older: float
    half_width_years: float
    cost: float | None


@dataclass(frozen=True)
class DueView:
    """What is done after so many years."""

    year: float
    what: str


@dataclass(frozen=True)
class DrawView:
    """Which arm a cask is drawn for."""

    cask: str
    arm: str


@dataclass(frozen=True)
class CodeView:
    """What a sample is called at its sitting."""

    sample: str
    code: str
    sitting: int


@dataclass(frozen=True)
class PlanView:
    """How a claim is proved: the answer in words, sizes of trial, steps, dates, draw of casks and codes."""

    format: str
    claim: str
    answer: str
    reading: str
    years: str
    levers: tuple[LeverView, ...]
    false_rate: float
    confidence: float
    chosen: OptionView | None
    options: tuple[OptionView, ...]
    steps: tuple[str, ...]
    calendar: tuple[DueView, ...]
    draw: tuple[DrawView, ...]
    codes: tuple[CodeView, ...]
    assumed: AssumedView = field(metadata=SPREAD)
    seed: int
    members: int


def plan_view(made: ProofPlan) -> PlanView:
    """Every text and number of a plan."""
    return PlanView(
        format=FORMAT,
        claim=made.claim.words(),
        answer=answer_words(made),
        reading=reading_words(made),
        years=years_words(made),
        levers=tuple(LeverView(words, round(power, 4)) for words, power in made.levers),
        false_rate=made.false_rate,
        confidence=round(1.0 - made.false_rate, 4),
        chosen=None if made.chosen is None else option_view(made.chosen),
        options=tuple(option_view(option) for option in made.options),
        steps=made.steps,
        calendar=tuple(DueView(*due) for due in made.calendar),
        draw=tuple(DrawView(*drawn) for drawn in made.draw),
        codes=tuple(CodeView(*code) for code in made.codes),
        assumed=assumptions_view(made.assumptions, {}, ""),
        seed=made.seed,
        members=made.members,
    )


def option_view(option: ProofOption) -> OptionView:
    """One size of trial as a view."""
    return OptionView(
        casks_per_arm=option.casks_per_arm,
        ladder_per_age=option.ladder_per_age,
        assessors=option.assessors,
        samples=option.samples,
        shows_the_claim=round(option.power, 4),
        shows_older=round(option.power_older, 4),
        false_older=round(option.false_older, 4),
        half_width_years=round(option.half_width_years, 3),
        cost=option.cost,
    )


def answer_words(made: ProofPlan) -> str:
    """The short answer."""
    if made.chosen is None:
        most = max(made.options, key=lambda option: option.power)
        missing = [option for name, (_, option) in OWN.items() if name not in own_spreads(made)]
        learn = f", or bring casks of your own to learn their spread ({', '.join(missing)})" if missing else ""
        change = (
            "Claim less, change what helps most below" if missing else "Claim less, or change what helps most below"
        )
        return (
            f"{older_words(made.older, made)}No trial of up to {counted(most.casks_per_arm, 'cask')} an arm shows that "
            f"{made.claim.words()} in "
            f"{percent(made.power_asked)} of cases when it truly reads {plain(made.reads_years, 1)} years; the "
            "largest does in "
            f"{percent(most.power)}. {change}{learn}. The steps below are those of the largest."
        )
    one = made.chosen
    asked = "" if one.power >= made.power_asked else f", short of the {percent(made.power_asked)} asked for"
    return (
        f"{counted(one.casks_per_arm, 'cask')} an arm, {counted(one.ladder_per_age, 'reference cask')} of each "
        f"age, {counted(one.assessors, 'assessor')}: "
        " shows "
        f"that {made.claim.words()} in {percent(one.power)} of trials when it truly reads "
        f"{plain(made.reads_years, 1)} years{asked}; "
        f"says older in {percent(one.false_older)} when it is no older but sweeter."
    )


def older_words(one: ProofOption | None, made: ProofPlan) -> str:
    """What can be shown all the same: that it reads older than it is, without a number; nothing where it cannot."""
    if one is None:
        return ""
    return (
        f"{one.casks_per_arm} casks an arm and {one.ladder_per_age} reference casks of each age show that it reads "
        "older "
        f"than {made.claim.years:g} years, without a number, in {percent(one.power_older)} of trials when it truly "
        "reads "
        f"{plain(made.reads_years, 1)}. "
    )


def reading_words(made: ProofPlan) -> str:
    """How the columns are meant."""
    return (
        f"Shows it: markers and panel both exclude every age under {made.claim.low:g} years. Shows older: both "
        "exclude its own "
        "age. False older: the same when it is no older and sweetness lifts its score; at most "
        f"{percent(made.false_rate)} by design, on {100.0 * (1.0 - made.false_rate):g} % intervals. "
        f"Half width: of the interval of all markers. {spread_words(made)}"
    )


def own_spreads(made: ProofPlan) -> dict[str, float]:
    """The spreads that the house gave [years], by name."""
    return {one.name: one.band.middle for one in made.assumptions if one.standing == Standing.MEASURED}


def spread_words(made: ProofPlan) -> str:
    """Whose the spreads between casks and assessors are."""
    given = own_spreads(made)
    if not given:
        return "Spreads between casks and assessors are wide priors, not findings."
    own = " and ".join(f"{OWN[name][0]} ({years:g} years)" for name, years in given.items())
    rest = [words for name, (words, _) in OWN.items() if name not in given]
    others = " and ".join([*rest, "how differently assessors see and score them"])
    verb = "are wide priors, not findings" if rest else "is a wide prior, not a finding"
    return f"How far casks differ {own} is the house's own figure; {_far(rest)}{others} {verb}."


def _far(rest: list[str]) -> str:
    return "how far they differ " if rest else ""


def years_words(made: ProofPlan) -> str:
    """How long it takes."""
    return (
        f"It takes {made.years:g} years from filling with archived reference casks of "
        f"{', '.join(f'{a:g}' for a in made.ladder_ages)} "
        f"years, and {made.years_without_archive:g} years without."
    )
