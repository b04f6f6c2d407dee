"""Amino nitrogen and glycosidic nitrile."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Light
from gristwright.numerics.runs import Runs
from gristwright.records.results import Board
from gristwright.stages.grist.board_floors import dark_share
from gristwright.stages.grist.nitrile import as_glycoside_g_per_t, carbamate_bound_ug_per_L, nitrile_board
from gristwright.stages.grist.nitrogen import fan_mg_per_100g_from_congress, nitrogen_board, wort_fan_mg_per_L
from stages.grist.board_sample import MEMBERS, WEIGHTS, full, middle, of

ORDER = {Light.GREEN: 0, Light.AMBER: 1, Light.RED: 2}


def no_better(worse: Board, better: Board) -> bool:
    return worse.probability_red >= better.probability_red and ORDER[worse.light] >= ORDER[better.light]


def fan_of(shares: list[float], keys: list[str], wort_L_per_kg: float = 5.0):
    lots = of(*keys)
    fan, moisture = middle(lots, "fan_mg_per_100g"), middle(lots, "moisture_pct")
    return wort_fan_mg_per_L(np.array(shares), fan, moisture, wort_L_per_kg)


def nitrogen(fan: float, degP: float = 14.0, dark: float = 0.0) -> Board:
    return nitrogen_board(full(fan), full(degP), Runs(WEIGHTS), dark)


def test_amino_nitrogen_by_hand():
    """140 mg/100 g dry at 4.6 % moisture is 1336 mg/kg; over 5 L/kg 267 mg/L (arithmetic)."""
    assert fan_of([1.0], ["pale_distilling_malt"])[0] == pytest.approx(267.1, abs=0.1)


def test_congress_wort_to_malt_by_hand():
    """150 mg/L, 81 % dry, 4.5 % moisture: 881.9 g of wort from 100 g, 8.77 %, 1.0333 kg/L, 0.8535 L (arithmetic)."""
    found = fan_mg_per_100g_from_congress(np.array([150.0]), np.array([81.0]), np.array([4.5]))
    assert found[0] == pytest.approx(150.0 * 0.8535 / 0.955, abs=0.3)


@given(st.floats(0, 400), st.floats(0, 100), st.floats(8, 24), st.floats(0, 6))
def test_more_nitrogen_is_never_worse_and_stronger_wort_never_better(fan, more, degP, stronger):
    assert no_better(nitrogen(fan, degP), nitrogen(fan + more, degP))
    assert no_better(nitrogen(fan, degP + stronger), nitrogen(fan, degP))


@given(
    st.sampled_from(["raw_maize", "raw_rice", "roasted_malt", "caramel_malt_dark"]), st.floats(0, 1), st.floats(0, 3)
)
def test_grain_poor_in_nitrogen_and_more_water_thin_it(key, share, litres):
    bill, keys = [1.0 - share, share], ["pale_distilling_malt", key]
    assert fan_of(bill, keys)[0] <= fan_of([1.0, 0.0], keys)[0]
    assert fan_of(bill, keys, 5.0 + litres)[0] <= fan_of(bill, keys)[0]


def test_lights_of_nitrogen():
    assert nitrogen(120.0).light is Light.RED
    assert nitrogen(140.0).light is Light.AMBER
    assert nitrogen(180.0).light is Light.GREEN
    assert nitrogen(180.0, 20.0).light is Light.AMBER
    assert "category allows" in nitrogen(120.0).remedy


def test_dark_malt_is_worth_a_word():
    shares, lots = np.array([0.8, 0.2]), of("pale_distilling_malt", "roasted_malt")
    assert dark_share(shares, lots) == pytest.approx(0.2)
    assert "20 % caramel and roasted" in nitrogen(200.0, dark=0.2).sentence
    assert "roasted" not in nitrogen(200.0, dark=0.1).sentence


def test_the_bound_on_ethyl_carbamate():
    """0.5 and 1.5 g/t at 410 L/t give at most 166 and 499 ug/L at 40 %vol: 89 g from 261 g (stoichiometry)."""
    assert carbamate_bound_ug_per_L(0.5, 410.0) == pytest.approx(166.3, abs=0.2)
    assert carbamate_bound_ug_per_L(1.5, 410.0) == pytest.approx(499.0, abs=0.5)
    assert as_glycoside_g_per_t(1.0, "HCN") == pytest.approx(9.67, abs=0.01)
    with pytest.raises(ValueError, match="neither"):
        as_glycoside_g_per_t(1.0, "nitrogen")


def nitrile(values: list[float], shares: list[float], keys: list[str], lpa: float = 410.0) -> Board:
    names = [f"L{k}" for k in range(len(values))]
    given_values = np.tile(np.array(values), (MEMBERS, 1))
    return nitrile_board(np.array(shares), names, of(*keys), given_values, full(lpa), Runs(WEIGHTS))


@given(st.floats(0, 4), st.floats(0, 2), st.floats(300, 450), st.floats(0, 60))
def test_more_nitrile_and_fewer_litres_are_never_better(value, more, lpa, litres):
    bill = ([1.0], ["pale_distilling_malt"])
    assert no_better(nitrile([value + more], *bill, lpa), nitrile([value], *bill, lpa))
    assert no_better(nitrile([value], *bill, lpa), nitrile([value], *bill, lpa + litres))


def test_lights_of_nitrile():
    assert nitrile([0.3], [1.0], ["pale_distilling_malt"]).light is Light.GREEN
    assert nitrile([0.5], [1.0], ["pale_distilling_malt"]).light is Light.AMBER
    board = nitrile([1.8], [1.0], ["pale_distilling_malt"])
    assert board.light is Light.RED
    assert "125 in United States" in board.sentence and "150 in Canada" in board.sentence
    assert "Upper bound, real conversion lower" in board.sentence


def test_what_is_not_on_the_certificate_is_unknown_and_no_fail():
    board = nitrile([0.3, np.nan], [0.9, 0.1], ["pale_distilling_malt", "caramel_malt_dark"])
    assert board.light is Light.UNKNOWN and board.probability_red == 0.0
    assert "not on the certificate of L1" in board.sentence and "HCN" in board.remedy
    unused = nitrile([0.3, np.nan], [1.0, 0.0], ["pale_distilling_malt", "caramel_malt_dark"])
    assert unused.light is Light.GREEN
    raw = nitrile([0.3, np.nan], [0.5, 0.5], ["pale_distilling_malt", "raw_maize"])
    assert raw.light is Light.GREEN
    high = nitrile([3.0, np.nan], [0.9, 0.1], ["pale_distilling_malt", "caramel_malt_dark"])
    assert high.light is Light.RED
