"""What a panel's scores of an arm say on the ladder: maturity as an age, each other note as a difference.

Only a note of malt, by the table or by the user's file, is judged as malt's own flavour. See docs/ageing.md.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import Band, FloatArray
from gristwright.casework.claim.lines import age_line
from gristwright.casework.claim.tables import MATURITY
from gristwright.evidence.panel.balanced import against_line, squares
from gristwright.evidence.panel.contrast import Contrast, Part
from gristwright.evidence.panel.limits import LEAST_ASSESSORS
from gristwright.evidence.panel.reml import fit_mixed
from gristwright.quantities.shown import plain, signed
from gristwright.records.age_evidence import AgeReading, MeasuredCask, Panel
from gristwright.records.ageing import MaltLine, Score
from gristwright.reference import csv_rows
from gristwright.reference.spelling import folded

NOT_JUDGED = "no note of malt by our table or your file, so it is shown and not judged"
NO_DIFFERENCE = "the panel's scores do not differ"


@dataclass(frozen=True)
class _Judged:
    """Scores of one attribute: assessor x cask means, NaN where one is missing; the arm's casks last."""

    table: FloatArray  # (assessors, casks)
    ages: FloatArray  # (casks,), NaN for the arm


def panel(
    ladder: Sequence[MeasuredCask],
    arm: Sequence[MeasuredCask],
    scores: Sequence[Score],
    scales: dict[str, tuple[float, float]],
    confidence: float,
    malt_notes: Collection[str] = (),
) -> Panel:
    """Read maturity as an age and the other attributes as differences at the arm's own age.

    `malt_notes` are scales that the user's file names as notes of malt, beside those of the table.
    """
    own = arm[0].years
    malt, line, reading, reason = [], None, None, "no panel has scored maturity on both"
    for attribute, scale in scales.items():
        judged = _judged(ladder, arm, scores, attribute)
        short = "" if judged is None else _too_few(judged) or _apart(ladder, arm, scores, attribute) or _same(judged)
        contrast = None if judged is None or short else _contrast(judged)
        if contrast is not None and not (contrast.slope[0] and contrast.variance(np.zeros(1))[0] > 0.0):
            contrast, short = None, NO_DIFFERENCE
        if judged is None or contrast is None:
            reason = short if attribute == MATURITY and short else reason
            continue
        if attribute == MATURITY:
            reading = _reading(contrast, confidence)
            ages = judged.ages[np.isfinite(judged.ages)]
            count = int((~np.isfinite(judged.ages)).sum())
            note = f"{len(judged.table)} assessors"
            line = age_line(MATURITY, "panel, maturity", "panel", reading, ages, count, confidence, note=note)
            reason = ""
        else:
            line_of = _note(attribute, scale, contrast, judged.ages, own, confidence)
            malt.append(line_of if is_of_malt(attribute, malt_notes) else _only_shown(line_of))
    return Panel(line, reading, tuple(malt), reason)


def _judged(
    ladder: Sequence[MeasuredCask], arm: Sequence[MeasuredCask], scores: Sequence[Score], attribute: str
) -> _Judged | None:
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
    return _Judged(table[:, kept], ages[kept])


def _too_few(judged: _Judged) -> str:
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


def _same(judged: _Judged) -> str:
    """Scores without any difference have no likelihood to climb."""
    return NO_DIFFERENCE if np.nanmin(judged.table) == np.nanmax(judged.table) else ""


def _groups(judged: _Judged) -> tuple[NDArray[np.int64], FloatArray]:
    """The group of each cask and the age of each group, the arm last with NaN."""
    rungs = np.unique(judged.ages[np.isfinite(judged.ages)])
    group = np.where(np.isfinite(judged.ages), np.searchsorted(rungs, np.nan_to_num(judged.ages)), len(rungs))
    return group.astype(np.int64), np.append(rungs, np.nan)


def _contrast(judged: _Judged) -> Contrast:
    group, ages = _groups(judged)
    if np.isfinite(judged.table).all():
        return against_line(squares(judged.table[None], group), ages, len(ages) - 1)
    return _with_gaps(judged, group)


def _with_gaps(judged: _Judged, group: NDArray[np.int64]) -> Contrast:
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


def _reading(contrast: Contrast, confidence: float) -> AgeReading:
    estimate, ages, weakness, freedom = contrast.age(confidence)
    return AgeReading(estimate, ages, weakness, np.array([np.nan]), float(freedom[0]))


@cache
def _words_of_malt() -> frozenset[str]:
    return frozenset(folded(row["word"]) for row in csv_rows("tables/ageing_notes.csv") if row["of_malt"] == "yes")


def is_of_malt(attribute: str, named: Collection[str]) -> bool:
    """Whether a scale is a note of malt, by the table or as the user's file names it."""
    return folded(attribute) in _words_of_malt() or attribute in named


def _only_shown(line: MaltLine) -> MaltLine:
    return replace(line, judged=False, words=f"{line.words}; {NOT_JUDGED}")


def _note(
    attribute: str, scale: tuple[float, float], contrast: Contrast, ages: FloatArray, own: float, confidence: float
) -> MaltLine:
    """The arm less the ladder at the arm's own age, or at the end of the ladder that is nearest to it."""
    years = float(np.clip(own, np.nanmin(ages), np.nanmax(ages)))
    middle, low, high = (float(x[0]) for x in contrast.at_age(years, confidence))
    raised = low > 0.0
    side = "higher than" if raised else "lower than" if high < 0.0 else "no sure difference from"
    words = (
        f"{side} reference casks of {plain(years, 1)} years: {signed(middle, 1)} ({signed(low, 1)} to "
        f"{signed(high, 1)}) of a scale {scale[0]:g} to {scale[1]:g}"
    )
    return MaltLine(attribute, f"{scale[0]:g} to {scale[1]:g}", Band(low, middle, high), raised, words, True)
