"""Intervals hold what they promise, sweetness makes no age, markers that disagree get none. Three seeds."""

from __future__ import annotations

import numpy as np
import pytest

from evidence.made_up import LADDERS, SEEDS, SIZE, draws
from gristwright.casework.claim.plan_proof import FALSE_RATE, both
from gristwright.evidence.ageing.line import fit_lines, read_arm
from gristwright.evidence.ageing.monotone import read_monotone
from gristwright.evidence.ageing.simulate import Size, panel_scores, read_markers
from gristwright.evidence.panel.balanced import against_line, squares
from gristwright.numerics.quadratic import Form

TRUTHS = (3.0, 4.5, 7.0, 11.0)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("truth", TRUTHS)
@pytest.mark.parametrize("markers", [1, 4])
def test_intervals_of_markers_hold_the_truth(seed: int, truth: float, markers: int) -> None:
    size = Size(SIZE.ladder_ages, SIZE.per_age, SIZE.casks_per_arm, markers, SIZE.assessors)
    found = read_markers(size, truth, draws(), np.random.default_rng(seed))
    assert 0.93 <= found.ages.holds(truth).mean() <= 0.97


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("truth", TRUTHS)
@pytest.mark.parametrize("judging", [0.0, 0.8])
def test_intervals_of_the_panel_hold_the_truth(seed: int, truth: float, judging: float) -> None:
    reads = np.full(LADDERS, truth)
    scores, group, ages = panel_scores(SIZE, reads, draws(judging=judging), np.random.default_rng(seed))
    contrast = against_line(squares(scores, group), ages, len(ages) - 1)
    assert 0.93 <= contrast.age()[1].holds(truth).mean() <= 0.97
    _, low, high = contrast.at_age(truth)
    assert 0.93 <= ((low <= 0.0) & (high >= 0.0)).mean() <= 0.97


@pytest.mark.parametrize("seed", SEEDS)
def test_intervals_of_the_bent_curve_hold_the_truth(seed: int) -> None:
    """Markers that bend like a fast pool: the curve is read, a straight line would be wrong. 200 ladders a seed."""
    rng, ages = np.random.default_rng(seed), SIZE.ages
    rise = 12.0 * (1.0 - np.exp(-ages / 6.0))
    held = []
    for _ in range(200):
        values = rise[:, None] + rng.normal(0.0, 0.35, (12, 2))
        arm = 12.0 * (1.0 - np.exp(-6.0 / 6.0)) + rng.normal(0.0, 0.35, (6, 2))
        held.append(read_monotone(ages, values, arm).ages.holds(6.0)[0])
    assert np.mean(held) >= 0.90


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("halo", [0.0, 2.0, 4.0])
def test_equal_age_with_added_sweetness_is_not_called_older(seed: int, halo: float) -> None:
    lifted = draws(halo=halo)
    rng = np.random.default_rng(seed)
    older = both(SIZE, 3.0, lifted["ageing.sweet_halo_y"], lifted, rng, lambda r: r.older_than(3.0))
    assert older.mean() <= FALSE_RATE


@pytest.mark.parametrize("seed", SEEDS)
def test_wood_that_lifts_half_the_markers_by_two_years_gets_no_age(seed: int) -> None:
    """Two years is what markers of one 1908 series disagreed by. Six markers, casks that differ by 0.7 years."""
    size = Size(SIZE.ladder_ages, 3, 6, 6, 12)
    truth = np.array([3.0, 3.0, 3.0, 5.0, 5.0, 5.0])
    found = read_markers(size, truth, draws(spread=0.7), np.random.default_rng(seed))
    assert (found.agreement < 0.05).mean() >= 0.90
    same = read_markers(size, 3.0, draws(spread=0.7), np.random.default_rng(seed))
    assert 0.03 <= (same.agreement < 0.05).mean() <= 0.07


@pytest.mark.parametrize("seed", SEEDS)
def test_the_cask_is_the_unit(seed: int) -> None:
    """Ten samples of each cask in place of one: the interval is as wide, because casks are averaged first."""
    rng = np.random.default_rng(seed)
    cask, arm = SIZE.ages + rng.normal(0.0, 1.0, 12), 5.0 + rng.normal(0.0, 1.0, 6)
    ten = np.repeat(arm, 10).reshape(6, 10).mean(axis=1)
    lines = fit_lines(SIZE.ages, cask[None, :, None])
    one, many = (read_arm(lines, values[None, :, None]) for values in (arm, ten))
    assert one.ages.high[0] - one.ages.low[0] == pytest.approx(many.ages.high[0] - many.ages.low[0])


def test_a_marker_that_hardly_changes_has_no_finite_interval() -> None:
    rng = np.random.default_rng(1)
    flat = rng.normal(10.0, 1.0, (1, 12, 1))
    found = read_arm(fit_lines(SIZE.ages, flat), rng.normal(10.0, 1.0, (1, 6, 1)))
    assert found.weakness[0] >= 1.0
    assert found.ages.form[0] in (Form.ALL, Form.OUTSIDE)
    assert not found.older_than(3.0)[0]
