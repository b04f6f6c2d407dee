"""The cardinal temperature model: nothing at its ends and beyond, one at its best, and never more."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.stages.wash.heat_limit import cardinal

# Cane spirit strain, species mean, one strain (Salvado et al. 2011, seen in secondary texts).
STRAINS = [(4.38, 31.62, 45.5), (2.84, 32.27, 45.39), (0.74, 32.8, 45.9)]
DEGREES = np.linspace(-20.0, 80.0, 2001)


@pytest.mark.parametrize("strain", STRAINS)
def test_pace_is_one_at_the_best_and_nothing_outside(strain: tuple[float, float, float]) -> None:
    coldest, best, warmest = strain
    pace = cardinal(DEGREES, *strain)
    assert float(cardinal(np.array([best]), *strain)[0]) == pytest.approx(1.0, abs=1e-12)
    inside = (coldest < DEGREES) & (warmest > DEGREES)
    assert np.all((pace > 0.0) == inside)
    assert np.all((pace >= 0.0) & (pace <= 1.0))


@pytest.mark.parametrize("strain", STRAINS)
def test_it_rises_to_the_best_and_falls_behind_it(strain: tuple[float, float, float]) -> None:
    coldest, best, warmest = strain
    steps = np.diff(cardinal(DEGREES, *strain))
    cooler, warmer = DEGREES[1:] < best, DEGREES[:-1] > best
    assert np.all(steps[cooler & (DEGREES[:-1] > coldest)] > 0.0)
    assert np.all(steps[warmer & (DEGREES[1:] < warmest)] < 0.0)


@pytest.mark.parametrize(
    ("degC", "expected"),
    [(10.5, 0.131), (15.0, 0.342), (20.0, 0.614), (25.0, 0.854), (33.0, 0.992), (38.0, 0.816), (40.0, 0.670)],
)
def test_values_worked_out_by_hand(degC: float, expected: float) -> None:
    assert float(cardinal(np.array([degC]), *STRAINS[0])[0]) == pytest.approx(expected, abs=0.0006)


def test_every_member_has_its_own_strain() -> None:
    ends = np.array(STRAINS).T
    together = cardinal(np.array([20.0, 20.0, 20.0]), *ends)
    assert list(together) == [float(cardinal(np.array([20.0]), *strain)[0]) for strain in STRAINS]
