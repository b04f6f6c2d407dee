"""Proof, gravity, extract, diastatic power and colour: round trips, refusals, arrays."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Refused
from gristwright.quantities import colour, diastatic, extract, gravity, proof


@given(st.floats(0.0, 100.0))
def test_proof_round_trips(abv_pct: float) -> None:
    assert proof.abv_pct_from_us_proof(min(proof.us_proof(abv_pct), 200.0)) == pytest.approx(abv_pct, abs=1e-8)
    assert proof.abv_pct_from_uk_proof(proof.uk_proof(abv_pct)) == pytest.approx(abv_pct, abs=1e-8)


def test_us_proof_is_a_little_less_than_twice_the_strength() -> None:
    assert 0.05 < 80.0 - proof.us_proof(40.0) < 0.2
    assert proof.us_proof(100.0) == pytest.approx(200.0)


def test_a_proof_gallon_holds_more_at_20_degC() -> None:
    assert proof.lpa_per_proof_gallon() == pytest.approx(1.9018, abs=5e-5)
    assert proof.proof_gallons_from_lpa(proof.lpa_from_proof_gallons(7.0)) == pytest.approx(7.0)


def test_much_obscured_spirit_must_be_distilled() -> None:
    with pytest.raises(Refused, match="Distil the sample"):
        proof.obscuration_us_proof(0.7)


@given(st.floats(-6.0, 30.0))
def test_plato_round_trips(degP: float) -> None:
    assert gravity.degP_from_sg(gravity.sg_from_degP(degP)) == pytest.approx(degP, abs=1e-9)


@given(st.floats(5.0, 25.0), st.floats(0.0, 1.0))
def test_balling_round_trips(original_degP: float, share: float) -> None:
    real_degP = original_degP * share
    alcohol = gravity.alcohol_pct_mass(original_degP, real_degP)
    # The published constants are rounded: 0.010665 stands for 0.01 x 1.0665.
    assert gravity.original_extract_degP(alcohol, real_degP) == pytest.approx(original_degP, abs=1e-9)


def test_excise_table_is_a_step_function() -> None:
    factors = gravity.excise_factor(np.array([0.0, 6.9, 7.0, 46.5, 46.6, 100.7]))
    np.testing.assert_allclose(factors, [0.125, 0.125, 0.126, 0.130, 0.131, 0.135])
    # The declared strength is cut to one decimal: 5.07 becomes 5.0, not 5.1.
    assert gravity.excise_abv_declared_pct(1057.0, 1018.0) == 5.0
    with pytest.raises(Refused, match=r"Give OG and PG as 1000 x SG"):
        gravity.excise_factor(101.0)


def test_gravity_in_degrees_is_refused() -> None:
    with pytest.raises(Refused, match="excise degrees are 1000 times"):
        gravity.degP_from_sg(1060.0)


def test_basis_round_trips() -> None:
    dry = np.array([79.5, 81.0])
    np.testing.assert_allclose(extract.dry_pct(extract.as_is_pct(dry, 4.5), 4.5), dry)
    with pytest.raises(Refused, match="moisture: 100 %"):
        extract.dry_pct(70.0, 100.0)


def test_fermentability_refuses_what_cannot_be() -> None:
    with pytest.raises(Refused, match="PG cannot be above OG"):
        extract.fermentability_pct(1030.0, 1031.0)
    with pytest.raises(Refused, match=r"1\.0305"):
        extract.fermentability_pct(1.0305, 0.998)


@given(st.floats(20.0, 900.0), st.sampled_from(list(diastatic.DegreeLine)))
def test_diastatic_power_round_trips(degWK: float, line: diastatic.DegreeLine) -> None:
    assert diastatic.wk_from_lintner(diastatic.lintner_from_wk(degWK, line), line) == pytest.approx(degWK)


def test_a_conversion_names_both_lines_and_the_spread() -> None:
    power = diastatic.convert(317.0, "degWK", "degLintner")
    assert (power.method, power.other_method) == (diastatic.DegreeLine.OFFSET.value, diastatic.DegreeLine.SHALLOW.value)
    assert power.other_line == pytest.approx(99.1)
    assert power.low == pytest.approx(0.88 * power.value)
    kept = diastatic.convert(317.0, "degWK", "degWK")
    assert kept.low == kept.value == kept.high


def test_no_enzyme_is_zero_on_every_scale() -> None:
    assert diastatic.lintner_from_wk(0.0) == 0.0
    assert diastatic.wk_from_lintner(0.0) == 0.0
    with pytest.raises(Refused, match="Keep such a value in degLintner"):
        diastatic.wk_from_lintner(3.0)


def test_power_is_blended_from_zero() -> None:
    lots = diastatic.lintner_from_wk(np.array([500.0, 0.0]))
    blends = diastatic.blend_degLintner(np.array([[0.1, 0.9], [1.0, 0.0]]), lots)
    np.testing.assert_allclose(blends, [14.743, 147.43], rtol=1e-4)
    with pytest.raises(Refused, match=r"they add to 0\.9"):
        diastatic.blend_degLintner(np.array([0.1, 0.8]), lots)


@given(st.floats(1.5, 1600.0))
def test_colour_round_trips(ebc: float) -> None:
    assert colour.ebc_from_lovibond(colour.lovibond_from_ebc(ebc)) == pytest.approx(ebc)
    assert colour.ebc_from_srm(colour.srm_from_ebc(ebc)) == pytest.approx(ebc)
    assert colour.ebc_from_iob(colour.iob_from_ebc(ebc)) == pytest.approx(ebc)


def test_the_two_colour_rules_agree() -> None:
    """EBC = 25/12.7 SRM with SRM = 1.3546 L - 0.76 is L = 0.375 EBC + 0.56."""
    for lovibond in (2.0, 10.0, 40.0, 500.0):
        by_ebc = colour.srm_from_ebc(colour.ebc_from_lovibond(lovibond))
        assert by_ebc == pytest.approx(colour.srm_from_lovibond(lovibond), rel=1e-3)
