"""The statement itself on made-up casks, from tables to sentence: 200 trials a seed. Invented by construction."""

from __future__ import annotations

import numpy as np
import pytest

from evidence.made_up import SEEDS
from gristwright.casework.claim.claim import claim
from gristwright.casework.claim.plan_proof import FALSE_RATE
from gristwright.records.ageing import CaskFacts, CaskTable, Sample, Score

FACTS = CaskFacts("oak", "2", 63.5, "store 1")
MARKERS = ("ethyl acetate", "acids", "vanillin", "syringaldehyde")
AGES, TRIALS, ASSESSORS = (3.0, 6.0, 8.0, 12.0), 200, 8


def table(
    rng: np.random.Generator, casks: list[tuple[str, float]], reads: list[float], halo: float, arm: str
) -> CaskTable:
    """Casks whose markers read `reads` years and whose panel adds `halo`; spreads in years as in made_up."""
    samples, scores = [], []
    level = {years: rng.normal(0.0, 0.8, ASSESSORS) for years in {years for _, years in casks}}
    for number, ((name, years), truth) in enumerate(zip(casks, reads, strict=True)):
        shared, maturity = rng.normal(), truth + halo + rng.normal()
        spread = 1.2 * (np.sqrt(0.3) * shared + np.sqrt(0.7) * rng.normal(size=len(MARKERS)))
        values = {marker: float(20.0 + 3.0 * (truth + away)) for marker, away in zip(MARKERS, spread, strict=True)}
        samples.append(Sample(number, name, arm, years, FACTS, values))
        for k in range(ASSESSORS):
            given = {"maturity": float(maturity + level[years][k] + 2.0 * rng.normal())}
            given["sweetness"] = float(4.0 + 2.0 * (arm != "") + rng.normal())
            scores.append(Score(number, name, arm, years, FACTS, f"P{k}", "", given))
    scales = {"maturity": (0.0, 30.0), "sweetness": (0.0, 10.0)}
    return CaskTable(f"{arm or 'ladder'}.csv", tuple(samples), tuple(scores), dict.fromkeys(MARKERS, "mg/L"), scales)


def stated(seed: int, truth: float, halo: float) -> list[str]:
    rng = np.random.default_rng(seed)
    rungs = [(f"R{age:g}-{k}", age) for age in AGES for k in range(3)]
    arm = [(f"A{k}", 3.0) for k in range(6)]
    return [
        claim(table(rng, rungs, [age for _, age in rungs], 0.0, ""), table(rng, arm, [truth] * 6, halo, "A"))
        .answers[0]
        .statement
        for _ in range(TRIALS)
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_equal_age_with_added_sweetness_is_not_stated_older(seed: int) -> None:
    found = stated(seed, 3.0, 2.0)
    assert found.count("reads_older") / TRIALS <= FALSE_RATE
    assert found.count("sweeter") / TRIALS >= 0.8


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_truly_older_is_mostly_stated_older(seed: int) -> None:
    assert stated(seed, 7.0, 0.0).count("reads_older") / TRIALS >= 0.7
