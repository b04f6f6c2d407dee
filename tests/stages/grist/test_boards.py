"""The boards of the grist: each answers every input in the right direction, and says what the trade knows."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import Light
from gristwright.numerics import draws as drawing
from gristwright.numerics.runs import Runs, with_moved
from gristwright.records.results import Board
from gristwright.reference import priors
from gristwright.stages.grist.bed import bed_board, bed_depth_m, huskless_share, run_off_h, tightness
from gristwright.stages.grist.boards import EnzymeOffer, enzyme_board, floors, share_needed_pct
from gristwright.stages.grist.gelatinisation import gelatinisation_board, margin_degC
from gristwright.stages.grist.viscosity import foam_board
from stages.grist.board_sample import DRAWS, MEMBERS, PLAN, WEIGHTS, full, grist, middle, of

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


def run_off(
    shares: list[float], keys: list[str], glucan: float = 0.0, fines: float = 10.0, plan=PLAN, draws=DRAWS
) -> Board:
    lots = of(*keys)
    beta = middle(lots, "beta_glucan_mg_per_L")[:1] + glucan
    runs = Runs(WEIGHTS) if draws is DRAWS else Runs(WEIGHTS, tuple(ENDS))
    return bed_board(np.array(shares), lots, beta, plan, runs, draws, fines_pct=fines)


ENDS = {name: (float(low), float(high)) for name, (low, high) in
        ((name, np.quantile(column, [0.05, 0.95])) for name, column in DRAWS.items()) if high > low}  # fmt: skip
TRACED = with_moved(DRAWS, drawing.middles(priors("grist")), ENDS)


def hours(board: Board) -> float:
    assert board.figure is not None
    return board.figure.band.middle


@given(
    st.floats(0.0, 0.9), st.floats(0.01, 0.1), st.sampled_from(["rye_malt", "wheat_malt", "spelt_malt", "raw_maize"])
)
def test_grain_without_husk_never_runs_off_faster(share: float, more: float, bare: str) -> None:
    keys = ["pale_distilling_malt", bare]
    low, high = run_off([1 - share, share], keys), run_off([1 - share - more, share + more], keys)
    assert no_better(high, low)
    assert hours(high) > hours(low)


@given(st.floats(0.0, 300.0), st.floats(0.0, 30.0), st.floats(0.5, 3.0), st.floats(1.0, 1.5))
def test_glucan_flour_load_and_litres_slow_the_run_off(glucan: float, fines: float, load: float, wort: float) -> None:
    plain = run_off([1.0], ["pale_distilling_malt"])
    assert no_better(run_off([1.0], ["pale_distilling_malt"], glucan=glucan), plain)
    assert no_better(run_off([1.0], ["pale_distilling_malt"], fines=10.0 + fines), plain)
    thick, thin = (replace(PLAN, kg_per_mash=kg) for kg in (2000.0 * max(load, 1.0), 2000.0 * min(load, 1.0)))
    assert no_better(
        run_off([1.0], ["pale_distilling_malt"], plan=thick), run_off([1.0], ["pale_distilling_malt"], plan=thin)
    )
    more = replace(PLAN, wort_L_per_t=5000.0 * wort)
    assert no_better(run_off([1.0], ["pale_distilling_malt"], plan=more), plain)


def test_rye_is_slower_than_wheat_and_wheat_than_barley() -> None:
    found = [
        hours(run_off([0.5, 0.5], ["pale_distilling_malt", k]))
        for k in ("pale_distilling_malt", "wheat_malt", "rye_malt")
    ]
    assert found == sorted(found)


def test_the_reference_mash_takes_the_reference_hours() -> None:
    lots, beta = of("pale_distilling_malt"), np.full((MEMBERS, 1), 120.0)
    tight = tightness(np.array([1.0]), lots, beta, 10.0, DRAWS)
    assert tight == pytest.approx(full(1.0))
    assert run_off_h(tight, PLAN, DRAWS, None) == pytest.approx(DRAWS["grist.bed_run_off_h"])
    assert bed_depth_m(PLAN, DRAWS) == pytest.approx(0.2 * DRAWS["grist.bed_L_per_kg"])


def test_the_house_s_own_hours_replace_the_guess() -> None:
    """The bill behind them comes out at exactly those hours, and the band of the guess is gone."""
    own = replace(PLAN, usual_run_off_hours=5.0)
    lots, beta = of("pale_distilling_malt", "rye_malt"), np.full((MEMBERS, 2), 120.0)
    shares = np.array([0.8, 0.2])
    board = bed_board(shares, lots, beta, own, Runs(WEIGHTS), DRAWS, shares)
    assert board.figure is not None
    assert board.figure.band.low == pytest.approx(5.0) and board.figure.band.high == pytest.approx(5.0)
    assert "grist.bed_run_off_h" not in board.figure.rests_on


def test_a_bare_bill_that_the_house_runs_off_is_judged_by_its_hours() -> None:
    """Without its own hours an all-rye bill is beyond a tun; with them it is what the house says, and no other is."""
    lots = of("rye_malt", "caramel_rye_malt")
    beta, own = middle(lots, "beta_glucan_mg_per_L"), replace(PLAN, usual_run_off_hours=6.0)
    today = np.array([0.85, 0.15])
    unsaid = bed_board(today, lots, beta, PLAN, Runs(WEIGHTS), DRAWS, today)
    said = bed_board(today, lots, beta, own, Runs(WEIGHTS), DRAWS, today)
    assert unsaid.light is Light.RED and "own hours of run-off" in unsaid.remedy
    assert said.light is not Light.RED and "does not run" not in said.sentence
    barley = of("pale_distilling_malt", "rye_malt")
    glucan = np.full((MEMBERS, 2), 120.0)
    easy = np.array([1.0, 0.0])
    assert bed_board(np.array([0.2, 0.8]), barley, glucan, own, Runs(WEIGHTS), DRAWS, easy).light is Light.RED


def test_a_mash_filter_is_not_judged_as_a_tun() -> None:
    """It needs no husk; its hours are not estimated unless the house states them, and rye is watched all the same."""
    lots, shares = of("rye_malt", "caramel_rye_malt"), np.array([0.85, 0.15])
    beta, cloth = middle(lots, "beta_glucan_mg_per_L"), replace(PLAN, vessel="filter", plate_area_m2=None)
    board = bed_board(shares, lots, beta, cloth, Runs(WEIGHTS), DRAWS)
    assert board.light is Light.AMBER and board.probability_red == 0.0 and board.figure is None
    assert "tun" not in board.sentence and "filter" not in board.remedy
    malt = of("pale_distilling_malt")
    glucan = np.full((MEMBERS, 1), 120.0)
    assert bed_board(np.array([1.0]), malt, glucan, cloth, Runs(WEIGHTS), DRAWS).light is Light.UNKNOWN
    hours = replace(cloth, usual_run_off_hours=2.0)
    both, three = np.column_stack([beta, glucan]), [*lots, *malt]
    slower = bed_board(np.array([0.85, 0.15, 0.0]), three, both, hours, Runs(WEIGHTS), DRAWS, np.array([0.0, 0.0, 1.0]))
    assert slower.figure is not None and slower.figure.band.middle > 2.0 and "pentosan" in slower.sentence


def test_plates_not_stated_widen_the_band() -> None:
    known = run_off([1.0], ["pale_distilling_malt"], draws=TRACED).figure
    unknown = run_off([1.0], ["pale_distilling_malt"], plan=replace(PLAN, plate_area_m2=None), draws=TRACED).figure
    assert known is not None and unknown is not None
    assert unknown.band.width > known.band.width
    assert run_off([1.0], ["pale_distilling_malt"], plan=replace(PLAN, plate_area_m2=None)).light is Light.GREEN
    assert "grist.bed_load_kg_per_m2" in unknown.rests_on and "grist.bed_load_kg_per_m2" not in known.rests_on


def foam(rye: float, headspace: float, water: float = 5.0) -> Board:
    board = foam_board(rye, headspace, water, Runs(WEIGHTS), DRAWS)
    assert board is not None
    return board


@given(st.floats(0.01, 0.9), st.floats(0.01, 0.1), st.floats(0.0, 0.5), st.floats(0.0, 0.2))
def test_more_rye_and_less_room_are_never_better(rye: float, more: float, room: float, extra: float) -> None:
    assert no_better(foam(rye + more, room), foam(rye, room))
    assert no_better(foam(rye, room), foam(rye, room + extra))


def test_rye_above_the_flag_is_watched_whatever_the_room() -> None:
    assert foam_board(0.0, 0.0, 5.0, Runs(WEIGHTS), DRAWS) is None
    assert foam(0.2, 0.35).light is Light.GREEN
    assert foam(0.4, 0.35).light is Light.AMBER and "200 W" in foam(0.4, 0.35).remedy
    assert "thinner" in foam(0.4, 0.35, 3.6).remedy


def test_an_all_rye_bill_converts_and_does_not_run_off() -> None:
    """Common practice, no source: 85 % base rye malt rich in enzymes and 15 % caramel rye malt converts by its own
    enzymes; thick wort and a bed without husk are why a conventional tun does not run it off."""
    shares, keys = [0.85, 0.15], ["rye_malt", "caramel_rye_malt"]
    lots = of(*keys)
    power, units = (float(np.array(shares) @ middle(lots, f)[0]) for f in ("diastatic_power", "dextrinising_units"))
    assert enzyme_board(grist(power, units), Runs(WEIGHTS), False, False).light is Light.GREEN
    bed = run_off(shares, keys)
    assert bed.light is Light.RED and bed.probability_red == pytest.approx(1.0)
    assert "no husk" in bed.sentence and "conventional tun does not run this off" in bed.sentence
    assert "pentosan" in bed.sentence and "whole mash" in bed.remedy
    assert huskless_share(np.array(shares), lots) == pytest.approx(1.0)
    assert foam(1.0, 0.15).light is Light.RED and "rye" in foam(1.0, 0.15).sentence


def test_raw_barley_in_an_infusion_is_common_practice() -> None:
    """Common practice, no source: pot-still whiskey mashes raw barley with malt at 63-65 degC without a cooker."""
    assert starch([0.5, 0.5], ["pale_distilling_malt", "raw_barley"], 64.0, None, 14.0).light is not Light.RED
