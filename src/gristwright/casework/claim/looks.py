"""Looks on the way of a series of doses that may stop a dose and never claim anything. See docs/ageing.md."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from gristwright.basics import FloatArray
from gristwright.casework.claim.plan_proof import MEMBERS, SAMPLES_A_SITTING, Asked, samples_of, sittings, truth_of
from gristwright.evidence.panel.difference import assessors_needed, least_correct, retained_share
from gristwright.numerics.draws import sample
from gristwright.records.ageing import ProofOption
from gristwright.records.dose import DoseStage
from gristwright.reference.load import priors

# A dose that truly reads as asked is stopped by one look in so many trials.
STOPS_TRUE = 0.1
# The duo-trio test of the new spirit: guessing right, people who truly tell, false alarms, how often it finds it.
CHANCE, TELLERS, ALPHA, POWER = 0.5, 0.3, 0.05, 0.8
SAMPLES_A_TEST = 3


def looks(asked: Asked, casks: int, seed: int = 1) -> tuple[DoseStage, ...]:
    """The new spirit, then each year before the last: what is looked at, and below what a dose stops."""
    return (_new_spirit(asked), *_years(asked, casks, seed))


def _new_spirit(asked: Asked) -> DoseStage:
    answers = assessors_needed(CHANCE, TELLERS, ALPHA, POWER) or 0
    least = least_correct(answers, CHANCE, ALPHA) or answers
    meets = math.ceil(answers * SAMPLES_A_TEST / (asked.assessors * SAMPLES_A_SITTING))
    missed = retained_share(answers, CHANCE, TELLERS, ALPHA)
    quiet = retained_share(answers, CHANCE, 0.0, ALPHA)
    return DoseStage(
        0.0,
        f"New spirit of the dose against today's, brought to 20 %vol, coded, nosed only, duo-trio: {answers} answers.",
        f"Under {least} right of {answers}: stop this dose and take the next larger one. Not told apart is not shown "
        "to "
        f"be the same: spirits that {100 * TELLERS:.0f} % of people tell apart are missed in {100 * missed:.0f} %.",
        float(least),
        "right answers",
        missed,
        quiet,
        meets,
        _paid(asked, meets),
    )


def _years(asked: Asked, casks: int, seed: int) -> Iterator[DoseStage]:
    last, gap = asked.claim.years, truth_of(asked) - asked.claim.years
    meets = sittings(samples_of(asked, casks), asked.repeats)
    for year in range(1, math.ceil(last)):
        apart = _apart(asked, casks, seed + year)
        lead = gap * year / last
        below = float(np.quantile(lead + apart, STOPS_TRUE))
        yield DoseStage(
            float(year),
            f"Panel, arms and references in one: the dosed arm less today's at {year} year{'s' * (year > 1)}, "
            "maturity in years of the ladder; sweetness and roast scored apart.",
            f"Under {below:.1f} years apart with {casks} casks an arm: stop this dose. A lead that grows evenly to "
            f"{gap:.1f} years would stand at {lead:.1f} by now.",
            below,
            "years",
            STOPS_TRUE,
            float(np.mean(apart < below)),
            meets,
            _paid(asked, meets),
        )


def last_look(asked: Asked, option: ProofOption) -> DoseStage:
    """The look at the end, on which alone something is claimed: analysis and panel of arms and references."""
    meets = sittings(option.samples, asked.repeats)
    prices = (asked.analysis_cost, asked.sitting_cost)
    cost = None if prices == (None, None) else (prices[0] or 0.0) * option.samples + (prices[1] or 0.0) * meets
    return DoseStage(
        asked.claim.years,
        f"Arms and references gauged, {option.samples} samples analysed in one batch and scored by the panel; the "
        "codes "
        "are opened last.",
        f"Older than {asked.claim.years:g} years is said only if panel and markers both exclude that age; sweeter "
        "alone "
        "is malt, not maturity. Otherwise the dose has not shown it.",
        0.0,
        "years",
        1.0 - option.power_older,
        1.0 - option.false_older,
        meets,
        cost,
    )


def casks_cost(asked: Asked, casks: int) -> float | None:
    """What the casks of all arms cost; None without a price."""
    return None if asked.cask_cost is None else asked.cask_cost * asked.arms * casks


def _apart(asked: Asked, casks: int, seed: int) -> FloatArray:
    """How far the panel sets two arms apart that are alike [years], (members,): casks, assessors and scores drawn.

    An assessor's own level falls out of the difference.
    """
    draws = sample(priors("ageing"), MEMBERS, seed)
    casks_y, judging, rest = (
        draws[f"ageing.{name}"] for name in ("panel_cask_spread_y", "panel_judging_spread_y", "panel_rest_y")
    )
    if asked.panel_spread_years is not None:
        casks_y = np.full_like(casks_y, asked.panel_spread_years)
    each = casks_y**2 / casks + judging**2 / asked.assessors + rest**2 / (asked.assessors * casks * asked.repeats)
    return np.asarray(np.sqrt(2.0 * each) * np.random.default_rng([seed, 103]).standard_normal(len(each)))


def _paid(asked: Asked, meets: int) -> float | None:
    return None if asked.sitting_cost is None else asked.sitting_cost * meets
