"""The run-off by Darcy's law, with its lines and its common practice; arithmetic, and handbook values where named."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gristwright.basics import FloatArray, Light
from gristwright.numerics import draws as drawing
from gristwright.numerics.runs import Runs, with_moved
from gristwright.records.plant import MashPlan, Rest
from gristwright.records.results import Board
from gristwright.records.streams import RunOff
from gristwright.reference import csv_rows, priors
from gristwright.reference.grains import grains
from gristwright.stages.grist import bed, gums
from gristwright.stages.grist.bed import Laid, bed_depth_m, run_off, tightness, with_husks
from gristwright.stages.grist.bed_board import bed_board
from gristwright.stages.grist.boards import enzyme_board
from gristwright.stages.grist.viscosity import Foaming, foam_board
from stages.grist.board_sample import DRAWS, MEMBERS, PLAN, WEIGHTS, full, grist, middle, of

ORDER = {Light.GREEN: 0, Light.AMBER: 1, Light.RED: 2}
ENDS = {name: (float(low), float(high)) for name, (low, high) in
        ((name, np.quantile(column, [0.05, 0.95])) for name, column in DRAWS.items()) if high > low}  # fmt: skip
TRACED = with_moved(DRAWS, drawing.middles(priors("grist")), ENDS)
RYE, MALT = ("rye_malt", "caramel_rye_malt"), ("pale_distilling_malt",)
GUM_RESTED = (Rest(42.0, 30.0), Rest(64.0, 60.0))


def laid(shares: list[float], keys: tuple[str, ...], glucan: float = 0.0) -> Laid:
    lots = of(*keys)
    return Laid(np.array(shares), lots, middle(lots, "beta_glucan_mg_per_L")[:1] + glucan)


def off(shares: list[float], keys: tuple[str, ...], plan: MashPlan = PLAN, **more: float) -> RunOff:
    return run_off(laid(shares, keys, **more), plan, DRAWS)


def board(shares: list[float], keys: tuple[str, ...], plan: MashPlan = PLAN, draws=DRAWS, **more: float) -> Board:
    runs = Runs(WEIGHTS) if draws is DRAWS else Runs(WEIGHTS, tuple(ENDS))
    one = laid(shares, keys, **more)
    return bed_board(run_off(one, plan, draws), one, plan, runs, draws)


def no_better(worse: Board, better: Board) -> bool:
    return worse.probability_red >= better.probability_red and ORDER[worse.light] >= ORDER[better.light]


def middle_of(values: FloatArray) -> float:
    return float(np.median(values))


@given(
    st.floats(0.0, 0.9), st.floats(0.01, 0.1), st.sampled_from(["rye_malt", "wheat_malt", "spelt_malt", "raw_maize"])
)
def test_grain_without_husk_never_runs_off_faster(share: float, more: float, bare: str) -> None:
    keys = ("pale_distilling_malt", bare)
    low, high = (board([1 - part, part], keys) for part in (share, share + more))
    assert no_better(high, low)
    assert np.all(off([1 - share - more, share + more], keys).hours > off([1 - share, share], keys).hours)


@given(st.floats(0.0, 1500.0), st.floats(0.5, 3.0), st.floats(1.0, 1.5), st.floats(1.0, 3.0))
def test_glucan_load_litres_and_a_narrow_gap_slow_the_run_off(
    glucan: float, load: float, wort: float, gap: float
) -> None:
    plain = board([1.0], MALT)
    assert no_better(board([1.0], MALT, glucan=glucan), plain)
    thick, thin = (replace(PLAN, kg_per_mash=2000.0 * f) for f in (max(load, 1.0), min(load, 1.0)))
    assert no_better(board([1.0], MALT, thick), board([1.0], MALT, thin))
    assert no_better(board([1.0], MALT, replace(PLAN, wort_L_per_t=5000.0 * wort)), plain)
    narrow, wide = (replace(PLAN, mill_gap_mm=mm) for mm in (0.4, 0.4 * gap))
    assert np.all(off([1.0], MALT, narrow).hours >= off([1.0], MALT, wide).hours - 1e-12)


def test_darcy_twice_the_load_takes_about_four_times_as_long() -> None:
    """Darcy's law at a given head: twice the wort through twice the path."""
    twice = off([1.0], MALT, replace(PLAN, kg_per_mash=4000.0)).hours / off([1.0], MALT).hours
    assert middle_of(twice) == pytest.approx(4.0, rel=0.05) and np.all((twice > 3.4) & (twice < 4.7))
    half = off([1.0], MALT, replace(PLAN, plate_area_m2=20.0)).hours / off([1.0], MALT).hours
    assert middle_of(half) == pytest.approx(0.25, rel=0.05)


@pytest.mark.parametrize("vessel", ["tun", "lauter", "filter"])
def test_darcy_half_the_viscosity_takes_half_as_long(vessel: str) -> None:
    plan, one = replace(PLAN, vessel=vessel), laid([0.8, 0.2], ("pale_distilling_malt", "rye_malt"))
    whole, half = run_off(one, plan, DRAWS, 1.0), run_off(one, plan, DRAWS, 0.5)
    assert half.hours == pytest.approx(0.5 * whole.hours, rel=1e-12)


def test_water_is_as_thick_as_the_handbook_says() -> None:
    """CRC Handbook of Chemistry and Physics, viscosity of water [mPa s], values from memory; within half a per cent."""
    for degC, handbook in ((0.0, 1.792), (20.0, 1.002), (40.0, 0.6527), (60.0, 0.4660), (80.0, 0.3540)):
        assert gums.water_mPa_s(degC) == pytest.approx(handbook, rel=0.005)


def test_strong_wort_is_as_thick_as_sugar_in_water() -> None:
    """Sucrose at 20 degC, 10 and 20 % by mass: 1.33 and 1.94 times water (handbook tables, from memory)."""
    for grams, times in ((10.0, 1.333), (20.0, 1.941)):
        ratio = gums.wort_mPa_s(full(grams), 20.0, DRAWS) / gums.water_mPa_s(20.0)
        assert ratio.min() < times < ratio.max()


def test_rye_is_slower_than_wheat_and_wheat_than_barley() -> None:
    found = [middle_of(off([0.5, 0.5], (MALT[0], key)).hours) for key in (MALT[0], "wheat_malt", "rye_malt")]
    assert found == sorted(found) and found[0] < found[1] < found[2]


def test_the_reference_mash_takes_the_reference_hours() -> None:
    lots = of(*MALT)
    one = Laid(np.array([1.0]), lots, np.full((MEMBERS, 1), 120.0))
    assert tightness(one, PLAN, DRAWS) == pytest.approx(full(1.0))
    assert run_off(one, PLAN, DRAWS).hours == pytest.approx(DRAWS["grist.bed_run_off_h"])
    cloth = replace(PLAN, vessel="filter")
    assert run_off(one, cloth, DRAWS).hours == pytest.approx(DRAWS["grist.filter_run_off_h"])
    assert bed_depth_m(PLAN, DRAWS) == pytest.approx(0.2 * DRAWS["grist.bed_L_per_kg"])


@pytest.mark.parametrize("vessel", ["tun", "lauter"])
def test_husks_open_a_bed_and_help_less_and_less(vessel: str) -> None:
    one, plan = laid([0.6, 0.4], ("wheat_malt", MALT[0])), replace(PLAN, vessel=vessel)
    hours = [run_off(with_husks(one, share), plan, DRAWS).hours for share in (0.0, 0.03, 0.06)]
    first, second = (np.log(before / after) for before, after in pairwise(hours))
    assert np.all(first > second) and np.all(second > 0.0)


def test_husks_of_a_lot_are_husks_beside_the_grist() -> None:
    beside = with_husks(laid([1.0], ("wheat_malt",)), 5.0 / 95.0)
    bought = laid([0.95, 0.05], ("wheat_malt", "rice_husks"))
    assert float(bought.added_husks) == 0.05 and float(bought.bare) == pytest.approx(0.5)
    assert float(beside.bare) == pytest.approx(0.5) and float(beside.added_husks) == pytest.approx(0.05)
    glucan = beside.beta_glucan_mg_per_L
    assert (
        run_off(beside, PLAN, DRAWS).hours == pytest.approx(run_off(bought, PLAN, DRAWS).hours) and glucan.shape[1] == 1
    )


def test_husks_move_no_filter() -> None:
    one, cloth = laid([0.85, 0.15], RYE), replace(PLAN, vessel="filter")
    assert run_off(with_husks(one, 0.08), cloth, DRAWS).hours == pytest.approx(run_off(one, cloth, DRAWS).hours)


def test_raw_barley_thickens_by_its_beta_glucan() -> None:
    """250 to 1600 mg/L of wort (types.csv, estimate): 40 % of it slows a mash that has all its husk."""
    keys = (MALT[0], "raw_barley")
    slower = off([0.6, 0.4], keys).hours / off([1.0, 0.0], keys).hours
    assert np.all(slower > 1.0) and 1.05 < middle_of(slower) < 1.4
    assert "mg/L of beta-glucan" in board([0.6, 0.4], keys).sentence


@pytest.mark.parametrize("minutes", [10.0, 30.0, 600.0])
def test_a_gum_rest_thins_wort_and_never_to_that_without_gums(minutes: float) -> None:
    one = laid([0.85, 0.15], RYE)
    rested = replace(PLAN, rests=(Rest(42.0, minutes), Rest(64.0, 60.0)))
    ratio = np.exp(
        gums.log_thickness(one.shares, one.materials, one.beta_glucan_mg_per_L, rested, DRAWS)
        - gums.log_thickness(one.shares, one.materials, one.beta_glucan_mg_per_L, PLAN, DRAWS)
    )
    left = gums.left_of("grist.gum_rest_pentosan_per_min", one.shares, one.materials, rested, DRAWS)
    assert np.all(ratio < 1.0) and np.all(left > 0.3 - 1e-9)
    warm = replace(PLAN, rests=(Rest(50.0, minutes), Rest(64.0, 60.0)))
    assert gums.rest_min(warm) == 0.0 and gums.rest_min(rested) == minutes


def test_a_gum_rest_alone_never_turns_an_infusion_tun_of_rye() -> None:
    rested = replace(PLAN, rests=(Rest(42.0, 120.0), Rest(64.0, 60.0)))
    assert board([0.85, 0.15], RYE, rested).light is Light.RED
    assert board([0.85, 0.15], RYE, rested).probability_red == pytest.approx(1.0)


def test_the_house_s_own_hours_replace_the_guess() -> None:
    """The bill behind them comes out at exactly those hours, and the band of the guess is gone."""
    own, one = replace(PLAN, usual_run_off_hours=5.0), laid([0.8, 0.2], (MALT[0], "rye_malt"))
    ran = run_off(one, own, DRAWS, 1.0, one)
    assert ran.hours == pytest.approx(full(5.0))
    traced = run_off(one, own, TRACED, 1.0, one)
    made = bed_board(traced, one, own, Runs(WEIGHTS, tuple(ENDS)), TRACED)
    assert made.figure is not None and "grist.bed_run_off_h" not in made.figure.rests_on
    assert made.sentence.startswith("5.0 h through a bed") and "as the house states it" in made.sentence


def test_a_bare_bill_that_the_house_runs_off_is_judged_by_its_hours() -> None:
    """Without its own hours an all-rye bill is beyond a tun; with them it is what the house says, and no other is."""
    own, today = replace(PLAN, usual_run_off_hours=6.0), laid([0.85, 0.15], RYE)
    unsaid = bed_board(run_off(today, PLAN, DRAWS, 1.0, today), today, PLAN, Runs(WEIGHTS), DRAWS)
    said = bed_board(run_off(today, own, DRAWS, 1.0, today), today, own, Runs(WEIGHTS), DRAWS)
    assert unsaid.light is Light.RED and "own hours of run-off" in unsaid.remedy
    assert said.light is not Light.RED and "does not run" not in said.sentence
    keys = (MALT[0], "rye_malt")
    hard, easy = laid([0.2, 0.8], keys), laid([1.0, 0.0], keys)
    assert bed_board(run_off(hard, own, DRAWS, 1.0, easy), hard, own, Runs(WEIGHTS), DRAWS).light is Light.RED


def test_all_rye_by_vessel_is_as_the_trade_knows_it() -> None:
    """Common practice, no source: no infusion tun runs it off; a lauter tun takes at least three times barley's hours;
    a filter runs, slower than barley."""
    tun, lauter, cloth = (replace(PLAN, vessel=vessel) for vessel in ("tun", "lauter", "filter"))
    assert board([0.85, 0.15], RYE, tun).light is Light.RED and "Never" in board([0.85, 0.15], RYE, tun).sentence
    slower = off([0.85, 0.15], RYE, lauter).hours / off([1.0], MALT, lauter).hours
    assert middle_of(slower) >= 3.0 and np.quantile(slower, 0.1) >= 3.0
    filtered = board([0.85, 0.15], RYE, cloth)
    assert filtered.light is Light.AMBER and "tun" not in filtered.sentence and "husk" not in filtered.sentence
    assert board([1.0], MALT, cloth).light is Light.GREEN


def test_a_filter_runs_by_its_chambers() -> None:
    cloth = replace(PLAN, vessel="filter", chambers_L=3000.0)
    assert bed.fill_of(cloth) == pytest.approx(1.0)
    half = run_off(laid([1.0], MALT), replace(cloth, kg_per_mash=1000.0), DRAWS).hours
    assert half == pytest.approx(0.5 * run_off(laid([1.0], MALT), cloth, DRAWS).hours)


def test_plates_not_stated_widen_the_band() -> None:
    known, unsaid = (board([1.0], MALT, plan, TRACED).figure for plan in (PLAN, replace(PLAN, plate_area_m2=None)))
    assert known is not None and unsaid is not None
    assert unsaid.band.width > known.band.width
    assert board([1.0], MALT, replace(PLAN, plate_area_m2=None)).light is Light.GREEN
    assert "grist.bed_load_kg_per_m2" in unsaid.rests_on and "grist.bed_load_kg_per_m2" not in known.rests_on


def test_every_grain_with_a_husk_says_how_much() -> None:
    said = {row["grain"] for row in csv_rows("tables/husk.csv")}
    assert said == {one.name for one in grains().values() if one.mashed and one.mashed.husk}


def foam(rye: float, headspace: float) -> Board | None:
    one = laid([rye, 1.0 - rye], ("rye_malt", MALT[0]))
    return foam_board(Foaming(one, 2000.0, lambda kg: 1.0 - (1.0 - headspace) * kg / 2000.0, Runs(WEIGHTS), DRAWS))


@given(st.floats(0.01, 0.9), st.floats(0.01, 0.1), st.floats(0.0, 0.5), st.floats(0.0, 0.2))
def test_more_rye_and_less_room_are_never_better(rye: float, more: float, room: float, extra: float) -> None:
    here, thicker, roomier = foam(rye, room), foam(rye + more, room), foam(rye, room + extra)
    assert here and thicker and roomier
    assert no_better(thicker, here) and no_better(here, roomier)


def test_rye_above_the_flag_is_watched_whatever_the_room() -> None:
    low, flagged, tight = foam(0.2, 0.35), foam(0.4, 0.35), foam(0.4, 0.1)
    assert foam(0.0, 0.0) is None and low and flagged and tight
    assert low.light is Light.GREEN
    assert flagged.light is Light.AMBER and "200 W" in flagged.remedy and not flagged.remedies
    assert [remedy.key for remedy in tight.remedies] == ["fill_less"]


def test_foam_is_never_told_to_mash_thinner() -> None:
    """More water fills the washback fuller: it takes the room that the head wants."""
    for board_ in (foam(0.4, 0.35), foam(0.4, 0.1), foam(0.2, 0.05)):
        assert board_ and "thinner" not in board_.remedy


def test_an_all_rye_bill_converts_and_does_not_run_off() -> None:
    """Common practice, no source: 85 % base rye malt rich in enzymes and 15 % caramel rye malt converts by its own
    enzymes; thick wort and a bed without husk are why a conventional tun does not run it off."""
    shares = np.array([0.85, 0.15])
    power, units = (float(shares @ middle(of(*RYE), f)[0]) for f in ("diastatic_power", "dextrinising_units"))
    assert enzyme_board(grist(power, units), Runs(WEIGHTS), False, False).light is Light.GREEN
    made = board([0.85, 0.15], RYE)
    assert made.light is Light.RED and made.probability_red == pytest.approx(1.0)
    assert "no husk" in made.sentence and "conventional tun does not run this off" in made.sentence
    assert "pentosan" in made.sentence
    assert bed.huskless_share(shares, of(*RYE)) == pytest.approx(1.0)
