"""Made-up ladders and arms read back, many at once: what a trial of a given size would show. See docs/ageing.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.evidence.ageing.line import fit_lines, read_arm
from gristwright.records.age_evidence import AgeReading


@dataclass(frozen=True)
class Size:
    """What a trial consists of."""

    ladder_ages: tuple[float, ...]
    per_age: int
    casks_per_arm: int
    markers: int
    assessors: int
    repeats: int = 1

    @property
    def ages(self) -> FloatArray:
        """Age of every reference cask."""
        return np.repeat(np.asarray(self.ladder_ages, dtype=np.float64), self.per_age)


def read_markers(
    size: Size, truth: float | FloatArray, draws: Draws, rng: np.random.Generator, confidence: float = 0.95
) -> AgeReading:
    """What the markers read when the arm's true age in them is `truth` [years], one for all or (markers,)."""
    members = len(draws["ageing.marker_spread_y"])
    casks = size.per_age * len(size.ladder_ages) + size.casks_per_arm
    kin = np.sqrt(draws["ageing.marker_kinship"])[:, None, None]
    shared, own = rng.standard_normal((members, casks, 1)), rng.standard_normal((members, casks, size.markers))
    noise = draws["ageing.marker_spread_y"][:, None, None] * (kin * shared + np.sqrt(1.0 - kin**2) * own)
    old, new = np.split(noise, [len(size.ages)], axis=1)
    return read_arm(fit_lines(size.ages, size.ages[:, None] + old), np.asarray(truth) + new, confidence)


def panel_scores(
    size: Size, reads: FloatArray, draws: Draws, rng: np.random.Generator
) -> tuple[FloatArray, np.ndarray[tuple[int], np.dtype[np.int64]], FloatArray]:
    """Scores in years (members, assessors, casks), the group of each cask and the age of each group, the arm last.

    `reads` (members,) is what the arm's spirit scores like; assessors differ in level, and in how they see a group.
    """
    members, groups = len(reads), len(size.ladder_ages) + 1
    counts = [size.per_age] * (groups - 1) + [size.casks_per_arm]
    group = np.repeat(np.arange(groups), counts)
    level = np.broadcast_to(np.append(np.asarray(size.ladder_ages), 0.0), (members, groups)).copy()
    level[:, -1] = reads
    judging = draws["ageing.panel_judging_spread_y"][:, None, None] * rng.standard_normal(
        (members, size.assessors, groups)
    )
    cask = draws["ageing.panel_cask_spread_y"][:, None] * rng.standard_normal((members, len(group)))
    rest = draws["ageing.panel_rest_y"][:, None, None] / np.sqrt(size.repeats)
    left = rest * rng.standard_normal((members, size.assessors, len(group)))
    own = rng.standard_normal((members, size.assessors, 1))
    scores = level[:, group][:, None] + own + judging[:, :, group] + cask[:, None] + left
    return scores, group, np.append(np.asarray(size.ladder_ages), np.nan)
