"""The balances of mash and wash."""

import numpy as np
import pytest

from gristwright.basics import Address
from gristwright.quantities import gravity
from gristwright.records.plant import MashPlan
from gristwright.records.streams import Grist
from gristwright.stages.mash import limits
from gristwright.stages.mash.model import run_off, wort_degP
from gristwright.stages.wash.model import ferment


def grist(extract: float, fermentable: float) -> Grist:
    one = np.array([1.0])
    rest = (extract * one, 0 * one, 0 * one)
    return Grist(extract * one, fermentable * one, one, 6.06 * fermentable * one, 70 * one, 45 * one, one, *rest)


def wort(recovery: float, litres: float = 5000.0, extract: float = 78.0, fermentable: float = 67.86):
    return run_off(
        grist(extract, fermentable), MashPlan(1000.0, litres), {"mash.extract_recovery": np.array([recovery])}
    )


def test_original_gravity_by_hand():
    """78 % as is, 97 %, 5 L/kg: 151.3 g/L, 14.32 degP, SG 1.0582 (arithmetic on published tables)."""
    made = wort(0.97)
    assert made.original_gravity_degP[0] == pytest.approx(14.32, abs=0.02)
    assert made.original_gravity_sg[0] == pytest.approx(1.0582, abs=0.0002)


def test_wort_strength_agrees_with_the_handbook_density_of_sucrose():
    """A solution of 15 % sucrose weighs 1061.04 times water/1000 at 20 degC: sugar
    industry handbook, appendix table A.1 (ed. about 2006)."""
    grams_per_litre = 0.15 * 1061.04 * 0.998201
    assert wort_degP(np.array([grams_per_litre]))[0] == pytest.approx(15.0, abs=0.03)


def test_extract_closes_over_the_mash():
    made = wort(0.97)
    assert made.extract_kg_per_t + made.lost_extract_kg_per_t == pytest.approx(780.0, rel=1e-12)


def test_wash_strength_by_hand():
    """2 t at 410 L/t in 10 000 L is 8.20 %vol: litres over litres."""
    made = ferment(wort(1.0, 5000.0, 78.0, 410.0 / 6.06), {"wash.alcohol_recovery": np.array([1.0])})
    assert made.abv_pct[0] == pytest.approx(8.20, abs=0.005)


def test_final_gravity_of_a_well_attenuated_wash():
    """Common practice: unboiled malt wash ends at 0.995-1.002 SG."""
    made = ferment(wort(0.975), {"wash.alcohol_recovery": np.array([0.985])})
    assert 0.995 < made.final_gravity_sg[0] < 1.002


def test_gravities_and_alcohol_agree_with_the_excise_table():
    """(OG - PG) x f: HMRC Notice 226, table of the Laboratory of the Government Chemist; agreement within 0.1 %vol."""
    made = ferment(wort(0.975), {"wash.alcohol_recovery": np.array([0.985])})
    lost = 1000.0 * (wort(0.975).original_gravity_sg - made.final_gravity_sg)
    assert made.abv_pct[0] == pytest.approx(float(lost[0] * gravity.excise_factor(lost)[0]), abs=0.1)


def test_more_dextrin_ends_higher():
    pale = ferment(wort(0.975), {"wash.alcohol_recovery": np.array([1.0])})
    dark = ferment(wort(0.975, fermentable=60.0), {"wash.alcohol_recovery": np.array([1.0])})
    assert dark.final_gravity_sg[0] > pale.final_gravity_sg[0]
    assert dark.abv_pct[0] < pale.abv_pct[0]


def test_limits_name_value_and_range():
    (fault,) = limits.mash_problems(MashPlan(1000.0, 900.0), Address("plant.toml").to("mash"))
    assert "900" in fault.sentence() and "2500-9000" in fault.sentence()
