"""Equilibrium against reference libraries and against its own limits."""

from __future__ import annotations

import numpy as np
import pytest

from gristwright.basics import Refused
from gristwright.stages.still import mixture, vle

ETHANOL_TAU_TIMES_K, WATER_TAU_TIMES_K, ALPHA = -109.6339 / 1.98721, 1332.3126 / 1.98721, 0.3031


@pytest.mark.parametrize("x", [0.01, 0.1, 0.5, 0.9])
def test_activity_coefficients_are_those_of_a_reference_library(x: float) -> None:
    thermo = pytest.importorskip("thermo")
    taus, alphas = [[0.0, ETHANOL_TAU_TIMES_K], [WATER_TAU_TIMES_K, 0.0]], [[0.0, ALPHA], [ALPHA, 0.0]]
    expected = thermo.NRTL(T=360.0, xs=[x, 1.0 - x], tau_bs=taus, alpha_cs=alphas).gammas()
    assert vle.activity_coefficients(x, 360.0 - 273.15) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("degC", [50.0, 80.0, 100.0])
def test_vapour_pressures_are_near_the_reference_equations_of_state(degC: float) -> None:
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    water = coolprop.PropsSI("P", "T", degC + 273.15, "Q", 0, "Water") / 1000.0
    ethanol = coolprop.PropsSI("P", "T", degC + 273.15, "Q", 0, "Ethanol") / 1000.0
    assert float(vle.water_vapour_pressure_kPa(degC)) == pytest.approx(water, rel=2e-4)
    # The handbook's equation and the equation of state differ by as much as the boiling points 78.3 and 78.4 degC.
    assert float(vle.ethanol_vapour_pressure_kPa(degC)) == pytest.approx(ethanol, rel=8e-3)


@pytest.mark.parametrize("x", [0.0721, 0.2337, 0.5079])
def test_bubble_points_are_near_a_reference_library(x: float) -> None:
    """CoolProp, Helmholtz mixture of ethanol and water: 0.25 K and 0.008 in y, the spread between the two models."""
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    state = coolprop.AbstractState("HEOS", "Ethanol&Water")
    state.set_mole_fractions([x, 1.0 - x])
    state.update(coolprop.PQ_INPUTS, 101_325.0, 0.0)
    assert float(vle.bubble_point_degC(x)) == pytest.approx(state.T() - 273.15, abs=0.25)
    assert float(vle.vapour_mole_fraction(x)) == pytest.approx(state.mole_fractions_vapor()[0], abs=0.008)


def test_the_boiling_point_gives_back_the_pressure() -> None:
    x = np.linspace(0.0, 1.0, 41)
    degC = vle.bubble_point_degC(x, 95.0)
    gamma1, gamma2 = vle.activity_coefficients(x, degC)
    ethanol = x * gamma1 * vle.ethanol_vapour_pressure_kPa(degC)
    water = (1.0 - x) * gamma2 * vle.water_vapour_pressure_kPa(degC)
    np.testing.assert_allclose(ethanol + water, 95.0, rtol=1e-12)


def test_pure_liquids_keep_their_vapour_and_water_boils_at_100() -> None:
    np.testing.assert_allclose(vle.first_vapour_abv_pct(np.array([0.0, 100.0])), [0.0, 100.0], atol=1e-9)
    assert float(vle.boils_degC(0.0)) == pytest.approx(99.974, abs=0.001)


def test_strengths_go_to_moles_and_back() -> None:
    abv = np.array([0.01, 1.0, 8.0, 25.0, 69.0, 96.0, 100.0])
    np.testing.assert_allclose(mixture.abv_pct(mixture.mole_fraction(abv)), abv, rtol=1e-10)


def test_a_second_stage_is_stronger_than_the_first() -> None:
    first, second = vle.total_reflux_abv_pct(8.0, 1), vle.total_reflux_abv_pct(8.0, 2)
    assert 8.0 < float(first) < float(second) < 97.2


def test_refuses_what_is_no_strength_and_no_pressure() -> None:
    with pytest.raises(Refused, match="140"):
        vle.boils_degC(140.0)
    with pytest.raises(Refused, match="pressure"):
        vle.boils_degC(8.0, pressure_kPa=1.013)
