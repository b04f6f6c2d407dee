"""Liquor and settled mash: sums by hand, directions, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Refused, at
from gristwright.records.plant import MashPlan, Water
from gristwright.reference import csv_rows
from gristwright.stages.mash import heat, limits


def test_liquor_by_hand() -> None:
    """64 + 0.40 / 4 x (64 - 15) - 1.1 x 1.5 = 67.25 degC; without slaking 68.90."""
    assert heat.liquor_degC(64, 15, 4, 0.40, 1.5) == pytest.approx(67.25)
    assert heat.liquor_degC(64, 15, 4, 0.40) == pytest.approx(68.90)


def test_a_cold_tun_asks_for_hotter_liquor() -> None:
    """Two degrees lost by the settled mash take 1.1 x 2 degrees of liquor."""
    assert heat.liquor_degC(64, 15, 4, 0.40, 1.5, 2.0) == pytest.approx(67.25 + 2.2)


settled = st.floats(60, 70)
grist = st.floats(0, 30)
thickness = st.floats(2.5, 6)
moisture = st.floats(0, 12)


@given(settled, grist, thickness, moisture)
def test_there_and_back(degC: float, cold: float, r: float, wet: float) -> None:
    ratio, rise = heat.slaking(wet)
    liquor = heat.liquor_degC(degC, cold, r, ratio, rise)
    assert heat.mash_settled_degC(liquor, cold, r, ratio, rise) == pytest.approx(degC, abs=1e-9)


@given(settled, grist, thickness)
def test_monotone(degC: float, cold: float, r: float) -> None:
    """Warmer grist or a thinner mash takes cooler liquor, a hotter mash takes hotter liquor."""
    base = heat.liquor_degC(degC, cold, r, 0.40)
    assert heat.liquor_degC(degC, cold + 1, r, 0.40) < base
    assert heat.liquor_degC(degC, cold, r + 0.5, 0.40) < base
    assert heat.liquor_degC(degC + 1, cold, r, 0.40) > base


def test_arrays_keep_their_members() -> None:
    liquor = heat.liquor_degC(np.array([63.0, 64.0]), 15, 4, 0.40, 1.5)
    assert liquor.shape == (2,)
    assert liquor[1] == pytest.approx(67.25)


def test_the_table_is_read_between_its_rows_and_held_at_its_ends() -> None:
    ratio, rise = heat.slaking(np.array([5.0, 20.0]))
    assert ratio == pytest.approx([0.405, 0.45])
    assert rise == pytest.approx([1.4, 0.5])


def test_the_odd_and_the_continued_row_say_so() -> None:
    rows = {row["moisture_pct"]: row for row in csv_rows("tables/slaking_heat.csv")}
    assert "slip" in rows["3"]["source"]
    assert rows["12"]["standing"] == "estimate"


def test_waters_run_together() -> None:
    """3000 L at 84 and 1000 L at 10: (3 x 84 + 10) / 4 = 65.5 degC."""
    assert heat.mixed_degC([3000, 1000], [84, 10]) == pytest.approx(65.5)


def test_a_later_water_by_hand() -> None:
    """A drained bed counts as 0.7 + 0.20 x 0.38 = 0.776 L/kg; 72 + 0.776 / 1.5 x (72 - 64) = 76.14 degC."""
    assert heat.later_liquor_degC(72, 64, 1.5) == pytest.approx(76.14, abs=0.005)


def test_cold_malt_cools_a_cook_by_hand() -> None:
    """573 kg x 0.45 over 34 600 L: 63 + 0.00745 x 48 = 63.36 degC."""
    assert heat.before_adding_degC(63, 15, 573, 0.45, 34_600) == pytest.approx(63.358, abs=0.002)


def test_wort_and_second_water_are_one_balance() -> None:
    second = heat.second_L_per_kg(5000, 757, 3.7, 4.7)
    assert heat.wort_of_waters_L_per_t(3.7 + second, 757, 4.7) == pytest.approx(5000)


@pytest.mark.parametrize(
    ("settles", "cold", "r", "words"),
    [(78, -10, 1.2, "it boils at 100"), (64, 80, 4, "colder than the grist")],
)
def test_a_liquor_that_cannot_be_had_is_refused_with_a_way_out(
    settles: float, cold: float, r: float, words: str
) -> None:
    with pytest.raises(Refused) as caught:
        heat.liquor_degC(settles, cold, r, 0.40)
    (problem,) = caught.value.problems
    assert words in problem.what
    assert problem.way_out


def test_a_later_water_cannot_boil() -> None:
    with pytest.raises(Refused, match="boils"):
        heat.later_liquor_degC(95, 64, 1.0)


def test_every_fault_of_the_waters_is_named() -> None:
    plan = MashPlan(2000, 5000, waters=(Water("second", 9.0, 99.0),), bag_kg=0.0)
    said = " ".join(problem.sentence() for problem in limits.mash_problems(plan, at("plant", "mash")))
    for words in ("first: is missing", "9 L/kg", "99 degC", "bag_kg, 0 kg"):
        assert words.replace(",", ":", 1) in said or words in said
