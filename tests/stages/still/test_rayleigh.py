"""The Rayleigh integral against quadrature, and the balance of every run."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from gristwright.stages.still import mixture, rayleigh, vle


def test_the_tabulated_integral_is_that_of_adaptive_quadrature() -> None:
    expected, _ = quad(lambda x: 1.0 / (float(vle.vapour_mole_fraction(x)) - x), 0.0003, 0.1, epsabs=1e-10)
    got = rayleigh.integral_between(rayleigh.pot_curve(), 0.0003, 0.1)
    assert float(got) == pytest.approx(expected, rel=2e-6)


@pytest.mark.parametrize("reflux", [0.1, 0.3])
def test_head_and_pot_balance_with_partial_condensation(reflux: float) -> None:
    """y_pot = R x_L + (1 - R) y_out at every pot of the curve, x_L found by its own search."""
    curve = rayleigh.pot_curve(reflux)
    some = slice(500, 5000, 500)
    fine = np.exp(np.linspace(np.log(1e-7), np.log(0.88), 60_001))
    x_head = np.interp(curve.y_out[some], vle.vapour_mole_fraction(fine), fine)
    y_pot = reflux * x_head + (1.0 - reflux) * curve.y_out[some]
    np.testing.assert_allclose(y_pot, vle.vapour_mole_fraction(curve.x[some]), rtol=1e-4)


def test_what_comes_over_and_what_stays_make_up_the_charge() -> None:
    charge = np.array([6.0, 8.0, 10.0])
    run = rayleigh.pot_run(charge, reflux=0.2)
    over = run.distillate_pct_of_charge * run.distillate_abv_pct
    left = run.residue_pct_of_charge * run.residue_abv_pct
    np.testing.assert_allclose(over + left, 100.0 * charge, rtol=1e-9)
    np.testing.assert_allclose(left / charge, run.ethanol_left_pct, rtol=1e-9)


def test_the_run_stops_where_the_distillate_reads_one() -> None:
    run = rayleigh.pot_run(8.0)
    assert float(vle.first_vapour_abv_pct(float(run.residue_abv_pct))) == pytest.approx(1.0, rel=1e-4)


def test_more_condensation_gives_less_and_stronger_low_wines() -> None:
    runs = [rayleigh.pot_run(8.0, reflux=r) for r in (0.0, 0.1, 0.2, 0.3)]
    assert np.all(np.diff([float(run.distillate_abv_pct) for run in runs]) > 0.0)
    assert np.all(np.diff([float(run.distillate_pct_of_charge) for run in runs]) < 0.0)


def test_the_members_table_is_the_run_itself() -> None:
    got = rayleigh.low_wines_abv_pct(np.array([7.3, 9.1]), np.array([0.23, 0.12]))
    runs = [rayleigh.pot_run(7.3, reflux=0.23), rayleigh.pot_run(9.1, reflux=0.12)]
    np.testing.assert_allclose(got, [float(run.distillate_abv_pct) for run in runs], atol=0.02)


def test_the_first_part_of_a_run_is_stronger_than_the_whole() -> None:
    whole = rayleigh.pot_run(8.0)
    part = rayleigh.abv_of_first_part(8.0, 0.2)
    assert float(whole.distillate_abv_pct) < part < float(whole.first_abv_pct)
    assert rayleigh.abv_of_first_part(8.0, float(whole.distillate_pct_of_charge) / 100.0) == pytest.approx(
        float(whole.distillate_abv_pct), rel=1e-5
    )


def test_litres_of_a_kilomole_of_water() -> None:
    assert float(mixture.litres_per_kmol(np.asarray(0.0))) == pytest.approx(18.01528 / 0.998201, rel=1e-6)
