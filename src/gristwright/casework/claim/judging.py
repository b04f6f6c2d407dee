"""Scores of one attribute by assessor and cask, and the arm against the ladder's line on them. See docs/ageing.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import FloatArray
from gristwright.evidence.panel.balanced import against_line, squares
from gristwright.evidence.panel.contrast import Contrast, Part
from gristwright.evidence.panel.limits import LEAST_ASSESSORS
from gristwright.evidence.panel.reml import fit_mixed
from gristwright.records.age_evidence import MeasuredCask
from gristwright.records.ageing import Score

NO_DIFFERENCE = "the panel's scores do not differ"


@dataclass(frozen=True)
class ScoredCasks:
    """Scores of one attribute: assessor x cask means, NaN where one is missing; the arm's casks last."""

    table: FloatArray  # (assessors, casks)
    ages: FloatArray  # (casks,), NaN for the arm


@dataclass(frozen=True)
class Found:
    """What could be made of one attribute: the scores on both sides, and the contrast or why there is none."""

    judged: ScoredCasks | None
    contrast: Contrast | None
    short: str


def found(
    ladder: Sequence[MeasuredCask], arm: Sequence[MeasuredCask], scores: Sequence[Score], attribute: str
) -> Found:
    """The arm against the ladder's line on one attribute; without a contrast where too little was scored."""
    judged = _judged(ladder, arm, scores, attribute)
    if judged is None:
        return Found(None, None, "")
    short = _too_few(judged) or _apart(ladder, arm, scores, attribute) or _same(judged)
    contrast = None if short else _contrast(judged)
    if contrast is not None and not (contrast.slope[0] and contrast.variance(np.zeros(1))[0] > 0.0):
        contrast, short = None, NO_DIFFERENCE
    return Found(judged, contrast, short)


def _judged(
    ladder: Sequence[MeasuredCask], arm: Sequence[MeasuredCask], scores: Sequence[Score], attribute: str
) -> ScoredCasks | None:
    wanted = {(cask.name, cask.years): place for place, cask in enumerate([*ladder, *arm])}
    mine = [s for s in scores if attribute in s.values and (s.cask, s.years) in wanted]
    people = {name: place for place, name in enumerate(dict.fromkeys(s.assessor for s in mine))}
    total, count = np.zeros((len(people), len(wanted))), np.zeros((len(people), len(wanted)))
    for score in mine:
        at = people[score.assessor], wanted[(score.cask, score.years)]
        total[at] += score.values[attribute]
        count[at] += 1.0
    table = np.where(count > 0.0, total / np.maximum(count, 1.0), np.nan)
    ages = np.array([cask.years for cask in ladder] + [np.nan] * len(arm))
    kept = np.asarray((count > 0.0).any(axis=0))
    if not kept[len(ladder) :].any() or len(set(ages[: len(ladder)][kept[: len(ladder)]])) < 2:
        return None
    return ScoredCasks(table[:, kept], ages[kept])


def _too_few(judged: ScoredCasks) -> str:
    groups = len(_groups(judged)[1])
    if len(judged.table) < LEAST_ASSESSORS:
        return f"{len(judged.table)} assessors are no panel (at least {LEAST_ASSESSORS})"
    if judged.table.shape[1] - groups < 2:
        return "too few casks of one age were scored to see how casks differ"
    return ""


def _apart(ladder: Sequence[MeasuredCask], arm: Sequence[MeasuredCask], scores: Sequence[Score], attribute: str) -> str:
    """Why sittings part the arm from the references, or nothing: a panel's level moves from one sitting to the next."""
    sides = [{(cask.name, cask.years) for cask in casks} for casks in (ladder, arm)]
    mine = [s for s in scores if attribute in s.values]
    old, new = ({s.sitting for s in mine if (s.cask, s.years) in side} for side in sides)
    if "" in old | new or not old.isdisjoint(new):
        return ""
    return "the panel never scored arm and references in one sitting"


def _same(judged: ScoredCasks) -> str:
    """Scores without any difference have no likelihood to climb."""
    return NO_DIFFERENCE if np.nanmin(judged.table) == np.nanmax(judged.table) else ""


def _groups(judged: ScoredCasks) -> tuple[NDArray[np.int64], FloatArray]:
    """The group of each cask and the age of each group, the arm last with NaN."""
    rungs = np.unique(judged.ages[np.isfinite(judged.ages)])
    group = np.where(np.isfinite(judged.ages), np.searchsorted(rungs, np.nan_to_num(judged.ages)), len(rungs))
    return group.astype(np.int64), np.append(rungs, np.nan)


def _contrast(judged: ScoredCasks) -> Contrast:
    group, ages = _groups(judged)
    if np.isfinite(judged.table).all():
        return against_line(squares(judged.table[None], group), ages, len(ages) - 1)
    return _with_gaps(judged, group)


def _with_gaps(judged: ScoredCasks, group: NDArray[np.int64]) -> Contrast:
    """The same contrast by restricted maximum likelihood where scores are missing."""
    who, cask = np.nonzero(np.isfinite(judged.table))
    ladder = np.isfinite(judged.ages)
    centre = float(judged.ages[ladder].mean())
    u = np.where(ladder, judged.ages - centre, 0.0)
    design = np.column_stack([ladder[cask], u[cask], ~ladder[cask]]).astype(np.float64)
    terms = [who, who * (group.max() + 1) + group[cask], cask]
    fit = fit_mixed(judged.table[who, cask], design, terms)
    gap, slope = float(fit.fixed[2] - fit.fixed[0]), float(fit.fixed[1])
    at = float(np.clip(gap / slope, u[ladder].min(), u[ladder].max())) if slope else 0.0
    c = fit.covariance
    weights = (c[2, 2] + c[0, 0] - 2.0 * c[0, 2], 2.0 * (c[0, 1] - c[1, 2]), c[1, 1])
    freedom = fit.freedom(np.array([-1.0, -at, 1.0]))
    c0, c1, c2 = (np.array([weight]) for weight in weights)
    part = Part(c0, c1, c2, np.array([freedom]))
    return Contrast(centre, np.array([gap]), np.array([slope]), (part,))
