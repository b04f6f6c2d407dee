"""The boards of the grist: each answers every input in the right direction, and says what the trade knows."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Light
from gristwright.numerics.runs import Runs
from gristwright.records.results import Board
from gristwright.stages.grist.boards import EnzymeOffer, enzyme_board, floors, share_needed_pct
from gristwright.stages.grist.gelatinisation import gelatinisation_board, margin_degC
from stages.grist.board_sample import DRAWS, WEIGHTS, full, grist, of

ORDER = {Light.GREEN: 0, Light.AMBER: 1, Light.RED: 2}
MORE = st.floats(0.0, 60.0)


def no_better(worse: Board, better: Board) -> bool:
    """Whether the first is at least as likely red and stands no better than the second."""
    return worse.probability_red >= better.probability_red and ORDER[worse.light] >= ORDER[better.light]


def enzymes(power: float, units: float, cooked: bool = True, boiled: bool = False, hours: float = 72.0) -> Board:
    return enzyme_board(grist(power, units), Runs(WEIGHTS), cooked, boiled, hours)


@given(st.floats(0, 60), st.floats(0, 30), MORE, MORE)
def test_more_of_either_enzyme_is_never_worse(power: float, units: float, of_power: float, of_units: float) -> None:
    assert no_better(enzymes(power, units), enzymes(power + of_power, units))
    assert no_better(enzymes(power, units), enzymes(power, units + of_units))


@given(st.floats(0, 60), st.floats(0, 30))
def test_uncooked_boiled_or_short_is_never_better(power: float, units: float) -> None:
    here = enzymes(power, units)
    assert no_better(enzymes(power, units, cooked=False), here)
    assert no_better(enzymes(power, units, boiled=True), here)
    assert no_better(enzymes(power, units, hours=40.0), here)


def test_the_worse_of_the_two_decides() -> None:
    assert enzymes(60, 30).light is Light.GREEN
    assert enzymes(60, 4).light is Light.RED
    assert enzymes(8, 30).light is Light.RED


def test_the_remedy_for_liquefaction_is_never_time() -> None:
    board = enzymes(60, 4)
    assert "pre-malt" in board.remedy and "longer fermentation does not help" in board.remedy


def test_grain_cooked_without_a_pre_malt_is_watched() -> None:
    board = enzyme_board(grist(60, 30), Runs(WEIGHTS), True, False, 72.0, premalt_pct=0.0)
    assert board.light is Light.AMBER and "pre-malt of 1-5 %" in board.remedy
    assert enzyme_board(grist(60, 30), Runs(WEIGHTS), True, False, 72.0, premalt_pct=1.0).light is Light.GREEN


@given(st.floats(0, 80), st.floats(0, 30))
def test_the_share_needed_is_just_enough(power: float, units: float) -> None:
    row, offer = floors(False, False), EnzymeOffer("HE-1", 190.0, 60.0)
    share = (share_needed_pct(power, units, offer, row) or 0.0) / 100.0
    assert 0.0 <= share <= 1.0
    mixed = [(1 - share) * here + share * there for here, there in ((power, 190.0), (units, 60.0))]
    wanted = [float(row["green_from_degLintner"]), float(row["green_from_DU"])]
    assert all(have >= least - 1e-9 for have, least in zip(mixed, wanted, strict=True))
    if share > 0.0:
        assert any(have == pytest.approx(least) for have, least in zip(mixed, wanted, strict=True))


def test_the_remedy_names_the_offered_lot_and_how_much() -> None:
    """From 7 to 40 degLintner with a lot of 190: 33 / 183 = 18.03 %, rounded up."""
    board = enzyme_board(grist(7, 10), Runs(WEIGHTS), False, False, offer=EnzymeOffer("HE-1", 190.0, 60.0))
    assert "About 19 % of HE-1" in board.remedy
    weak = enzyme_board(grist(7, 10), Runs(WEIGHTS), False, False, offer=EnzymeOffer("PA-1", 30.0, 40.0))
    assert "PA-1 alone does not" in weak.remedy


def starch(shares: list[float], keys: list[str], settled: float, cook: float | None, strength: float = 12.0) -> Board:
    board = gelatinisation_board(np.array(shares), of(*keys), settled, cook, full(strength), Runs(WEIGHTS), DRAWS)
    assert board is not None
    return board


@pytest.mark.parametrize(
    "raw", ["raw_maize", "raw_rye", "raw_wheat", "raw_barley", "raw_oats", "raw_sorghum", "raw_rice"]
)
def test_hotter_and_thinner_are_never_worse(raw: str) -> None:
    bill, keys = [0.7, 0.3], ["pale_distilling_malt", raw]
    ladder = [starch(bill, keys, degC, None) for degC in (50.0, 58.0, 64.0, 68.0, 88.0)]
    assert all(no_better(cold, hot) for cold, hot in pairwise(ladder))
    assert ladder[0].light is Light.RED and ladder[-1].light is Light.GREEN
    assert no_better(starch(bill, keys, 64.0, None, 25.0), starch(bill, keys, 64.0, None, 12.0))
    assert no_better(starch(bill, keys, 64.0, None), starch(bill, keys, 64.0, 100.0))


def test_raw_maize_in_an_infusion_is_told_to_be_cooked() -> None:
    """Common practice: maize does not convert uncooked; cooked it does."""
    board = starch([0.6, 0.4], ["pale_distilling_malt", "raw_maize"], 64.0, None)
    assert board.light is Light.RED and "Cook the raw grain" in board.remedy
    assert "Raw maize needs 68-78 degC" in board.sentence
    assert starch([0.1, 0.9], ["high_enzyme_malt", "raw_maize"], 63.0, 110.0).light is Light.GREEN


def test_roasted_grain_and_an_ordinary_malt_mash_say_nothing() -> None:
    shares, lots = np.array([0.95, 0.05]), of("pale_distilling_malt", "roasted_barley")
    assert gelatinisation_board(shares, lots, 64.0, None, full(14.0), Runs(WEIGHTS), DRAWS) is None
    assert margin_degC(lots[1], 64.0, None, full(14.0), DRAWS) is None
    cold = gelatinisation_board(shares, lots, 56.0, None, full(14.0), Runs(WEIGHTS), DRAWS)
    assert cold is not None and cold.light is Light.RED and "hotter" in cold.remedy


def test_strong_wort_shifts_the_temperature_as_published() -> None:
    """12 to 25 g/100 g raises it by 5.2 degC: +1 degC for +2.5 g/100 g, De Schepper & Courtin 2022."""
    malt = of("pale_distilling_malt")[0]
    thin, strong = (margin_degC(malt, 64.0, None, full(g), DRAWS) for g in (12.0, 25.0))
    assert thin is not None and strong is not None
    assert thin - strong == pytest.approx(full(5.2))


def test_raw_barley_in_an_infusion_is_common_practice() -> None:
    """Common practice, no source: pot-still whiskey mashes raw barley with malt at 63-65 degC without a cooker."""
    assert starch([0.5, 0.5], ["pale_distilling_malt", "raw_barley"], 64.0, None, 14.0).light is not Light.RED
