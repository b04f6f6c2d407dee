"""The mixed model of the panel: balanced and by likelihood alike where both can be used."""

from __future__ import annotations

import numpy as np
import pytest

from evidence.made_up import SIZE, draws
from gristwright.basics import Refused
from gristwright.evidence.ageing.simulate import panel_scores
from gristwright.evidence.panel.balanced import against_line, squares
from gristwright.evidence.panel.difference import assessors_needed, least_correct, most_correct, retained_share
from gristwright.evidence.panel.reml import fit_mixed


def test_likelihood_gives_the_balanced_contrast() -> None:
    scores, group, ages = panel_scores(SIZE, np.full(1000, 5.0), draws(judging=1.5), np.random.default_rng(1))
    contrast = against_line(squares(scores[:1], group), ages, len(ages) - 1)
    who, cask = (index.ravel() for index in np.indices(scores.shape[1:]))
    ladder = np.isfinite(ages)[group]
    u = np.where(ladder, np.nan_to_num(ages)[group] - contrast.centre, 0.0)
    design = np.column_stack([ladder[cask], u[cask], ~ladder[cask]]).astype(float)
    fit = fit_mixed(scores[0].ravel(), design, [who, who * 10 + group[cask], cask])
    assert fit.fixed[2] - fit.fixed[0] == pytest.approx(contrast.gap[0], rel=1e-6)
    assert fit.fixed[1] == pytest.approx(contrast.slope[0], rel=1e-6)
    row = np.array([-1.0, 0.0, 1.0])
    assert np.sqrt(row @ fit.covariance @ row) == pytest.approx(
        float(contrast.variance(np.zeros(1))[0]) ** 0.5, rel=0.1
    )


def test_a_variance_that_is_nothing_stays_at_nothing() -> None:
    rng = np.random.default_rng(3)
    y = np.repeat(rng.normal(size=6), 5) * 0.0 + np.tile([1.0, 2.0, 3.0, 4.0, 5.0], 6)
    fit = fit_mixed(y, np.ones((30, 1)), [np.repeat(np.arange(6), 5)])
    assert fit.variances[0] == 0.0


def test_not_different_is_likelier_the_worse_the_test() -> None:
    """Ten in a hundred truly tell it: 54 triangles find nothing in 60 of 100 tests, 540 in 3 (exact binomial)."""
    assert retained_share(54, 1 / 3, 0.1, 0.1) == pytest.approx(0.602, abs=0.001)
    assert retained_share(540, 1 / 3, 0.1, 0.1) == pytest.approx(0.029, abs=0.001)
    assert least_correct(24, 1 / 3, 0.05) == 13
    assert most_correct(60, 1 / 3, 0.30, 0.05) == 25
    with pytest.raises(Refused, match="Give chance"):
        least_correct(10, 0.0, 0.05)


@pytest.mark.parametrize(
    ("chance", "tellers", "power", "answers"),
    [(1 / 3, 0.3, 0.9, 53), (1 / 3, 0.2, 0.9, 117), (0.5, 0.3, 0.9, 93), (0.5, 0.2, 0.9, 213)],
)
def test_how_many_answers_a_test_takes(chance: float, tellers: float, power: float, answers: int) -> None:
    """The first number that reaches the power at 5 %, exact binomial (derived, two engines agree)."""
    assert assessors_needed(chance, tellers, 0.05, power) == answers
