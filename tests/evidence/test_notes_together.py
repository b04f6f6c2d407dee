"""Notes that speak of immaturity or age, read together: the interval holds the truth as often as it says. Invented."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.casework.claim.panel import panel
from gristwright.records.age_evidence import MeasuredCask
from gristwright.records.ageing import CaskFacts, Score

FACTS = CaskFacts("oak", "2", 63.5, "store 1")
AGES, TRIALS, ASSESSORS = (3.0, 6.0, 8.0, 12.0), 120, 9
NOTES = {"meaty": "immature", "gummy": "age", "feinty": "immature"}
SCALES = {"meaty": (-10.0, 40.0), "gummy": (-10.0, 40.0), "feinty": (-10.0, 40.0)}


def scored(rng: np.random.Generator, casks: list[MeasuredCask], truths: list[float]) -> list[Score]:
    """Each assessor scores every note of every cask once; casks, assessors and groups scatter, the notes each alone."""
    level = {cask.arm + str(cask.years): rng.normal(0.0, 0.5, ASSESSORS) for cask in casks}
    scores = []
    for cask, truth in zip(casks, truths, strict=True):
        own = {name: truth + rng.normal() for name in NOTES}
        for k, shift in enumerate(level[cask.arm + str(cask.years)]):
            ripe = {name: own[name] + shift + 1.6 * rng.normal() for name in NOTES}
            values = {name: value if NOTES[name] == "age" else 30.0 - value for name, value in ripe.items()}
            scores.append(Score(0, cask.name, cask.arm, cask.years, FACTS, f"P{k}", "", values))
    return scores


@pytest.mark.parametrize("truth", [3.0, 6.5, 10.0])
def test_the_interval_of_all_notes_holds_the_truth(truth: float) -> None:
    rng = np.random.default_rng(5)
    ladder = [MeasuredCask(f"R{age:g}-{k}", "", age, FACTS, {}) for age in AGES for k in range(3)]
    arm = [MeasuredCask(f"A{k}", "A", 3.0, FACTS, {}) for k in range(6)]
    held = older = 0
    for _ in range(TRIALS):
        scores = scored(rng, [*ladder, *arm], [*(cask.years for cask in ladder), *[truth] * 6])
        reading = panel(ladder, arm, scores, SCALES, 0.95, NOTES).reading
        assert reading is not None
        held += bool(reading.ages.low[0] <= truth <= reading.ages.high[0])
        older += bool(reading.older_than(3.0)[0])
    # Four standard errors of a share of 0.95 in so many trials.
    assert held / TRIALS == pytest.approx(0.95, abs=4.0 * (0.95 * 0.05 / TRIALS) ** 0.5)
    if truth == 3.0:
        assert older / TRIALS <= 0.05 + 2.0 * (0.05 * 0.95 / TRIALS) ** 0.5
