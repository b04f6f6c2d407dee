"""Spirits put together by mass: alcohol is kept, litres contract, and published mixtures come out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Refused
from gristwright.quantities import alcoholometry
from gristwright.quantities.mixing import masses_kg, mixed, together
from gristwright.quantities.proof import F60_degC, abv_60F_pct, abv_pct_from_us_proof

PARCELS = st.lists(st.tuples(st.floats(0.1, 9000.0), st.floats(0.0, 100.0), st.floats(-20.0, 40.0)), min_size=1)


@given(PARCELS)
def test_alcohol_and_mass_are_kept_whatever_is_mixed(parcels: list[tuple[float, float, float]]) -> None:
    litres, abv, degC = np.array(parcels).T
    mix = mixed(litres, abv, degC)
    alcohol = sum(alcoholometry.lpa_from_litres(v, a, t) for v, a, t in parcels)
    assert float(mix.lpa_L) == pytest.approx(alcohol, rel=1e-9)
    mass = sum(v * alcoholometry.density_kg_m3(a, t) / 1000.0 for v, a, t in parcels)
    assert float(mix.ethanol_kg + mix.water_kg) == pytest.approx(mass, rel=1e-12)
    assert float(mix.lpa_L) == pytest.approx(float(mix.litres * mix.abv_pct) / 100.0, rel=1e-9, abs=1e-12)
    assert min(abv) - 1e-9 <= float(mix.abv_pct) <= max(abv) + 1e-9


@pytest.mark.parametrize(
    ("strong_abv_60F_pct", "water", "aim_abv_60F_pct", "half_a_digit"),
    [(95, 6.41, 90, 0.005), (95, 63.0, 60, 0.05), (95, 95.9, 50, 0.05), (80, 63.1, 50, 0.05), (60, 51.4, 40, 0.05)],
)
def test_the_published_table_of_dilution(
    strong_abv_60F_pct: float, water: float, aim_abv_60F_pct: float, half_a_digit: float
) -> None:
    """Volumes of water to 100 of spirit, both at 60 degF: dilution table derived from the US Gauging Manual, reprinted
    in an engineering handbook; the rows that the formula meets within the printed digit."""
    strong = abv_pct_from_us_proof(2.0 * strong_abv_60F_pct)
    less, more = (
        abv_60F_pct(float(mixed(np.array([100.0, w]), np.array([strong, 0.0]), np.full(2, F60_degC)).abv_pct))
        for w in (water + half_a_digit, water - half_a_digit)
    )
    assert less <= aim_abv_60F_pct <= more


def test_it_undoes_a_reduction() -> None:
    """The water that the reduction asks for, as a parcel, gives the strength and the litres that it promised."""
    asked = alcoholometry.reduction(137.0, 71.3, 43.0)
    mix = mixed(np.array([137.0, asked.water_L]), np.array([71.3, 0.0]), np.full(2, 20.0))
    assert float(mix.abv_pct) == pytest.approx(43.0, abs=1e-9)
    assert float(mix.litres) == pytest.approx(asked.final_L, rel=1e-12)
    assert float(mix.contraction_L) == pytest.approx(asked.contraction_L, rel=1e-9)


def test_the_vatting_worked_by_hand_in_the_docs() -> None:
    mix = mixed(np.array([100.0, 100.0]), np.array([70.0, 40.0]), np.full(2, 20.0))
    assert (round(float(mix.litres), 2), round(float(mix.abv_pct), 2)) == (199.39, 55.17)
    assert round(float(mix.contraction_L), 2) == 0.61


def test_like_spirit_does_not_contract() -> None:
    mix = mixed(np.array([10.0, 250.0, 3.0]), np.full(3, 58.7), np.full(3, 20.0))
    assert float(mix.contraction_L) == pytest.approx(0.0, abs=1e-9)


def test_members_are_mixed_each_by_themselves() -> None:
    """Draws of casks, (casks, draws), as the vatting of a stock has them."""
    ethanol, water = masses_kg(np.array([[200.0, 190.0], [180.0, 185.0]]), np.array([[60.0, 59.0], [55.0, 54.0]]))
    both = together(ethanol, water)
    one = mixed(np.array([190.0, 185.0]), np.array([59.0, 54.0]), np.full(2, 20.0))
    assert both.litres.shape == (2,)
    assert both.abv_pct[1] == pytest.approx(float(one.abv_pct))


def test_every_parcel_that_cannot_be_is_named() -> None:
    with pytest.raises(Refused) as refused:
        mixed(np.array([0.0, 10.0, 10.0]), np.array([60.0, 130.0, 60.0]), np.array([20.0, 20.0, 99.0]))
    said = [problem.sentence() for problem in refused.value.problems]
    assert [text.split(":")[0] for text in said] == ["parcel 1", "parcel 2", "parcel 3"]
