"""Hours of run-off reach the cycle, the year, the litres and the extract left behind; three houses of strangers."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gristwright import casework
from gristwright.basics import Light, Refused
from gristwright.casework.bench.one_bill import Forecast
from gristwright.records.bill import Bill
from gristwright.records.plant import MashPlan, Plant, Rest, Water
from gristwright.records.results import Board
from gristwright.stages.mash.draining import draining, reference
from gristwright.stages.mash.kept import kept_share
from houses import LOTS, bill, brewhouse, sheet, tun, whole_mash

MEMBERS = 256
RYE, BARLEY = bill(RM_1=85, CR_1=15), bill(PD_1=100)


@cache
def made(plant: Plant, of: Bill, categories: tuple[str, ...] = ()) -> Forecast:
    follow = casework.brew if plant.wort_boiled else casework.forecast
    return follow(sheet(of, plant, categories), LOTS, members=MEMBERS)


def board(plant: Plant, of: Bill, key: str = "bed") -> Board:
    return next(one for one in made(plant, of).result.boards if one.key == key)


def hours(plant: Plant, of: Bill) -> float:
    figure = board(plant, of).figure
    assert figure is not None
    return figure.band.middle


def week(plant: Plant, of: Bill, key: str) -> float:
    capacity = made(plant, of).capacity
    assert capacity is not None
    return capacity.figures[key].band.middle


def figure(plant: Plant, of: Bill, key: str) -> float:
    return made(plant, of).result.figures[key].band.middle


# All rye by three vessels.


def test_rye_in_an_infusion_tun_is_refused_and_says_why() -> None:
    """Common practice, no source: it never runs off, so its litres are not given, nor what rests on them."""
    result = made(tun(), RYE).result
    assert board(tun(), RYE).light is Light.RED and board(tun(), RYE).probability_red == pytest.approx(1.0)
    assert result.withheld is not None and "never runs off" in result.withheld.because
    assert result.ledger is None and not result.figures
    capacity = made(tun(), RYE).capacity
    assert capacity is not None and any("never runs off" in line for line in capacity.words)
    assert {"grain_in", "filter"} <= {remedy.key for remedy in board(tun(), RYE).remedies}


def test_rye_in_a_lauter_tun_takes_three_times_as_long_and_the_year_feels_it() -> None:
    """Common practice, no source. A run-off of a day and a half changes mashes a week, tonnes, litres and money."""
    lauter = tun("lauter")
    assert hours(lauter, RYE) >= 3.0 * hours(lauter, BARLEY)
    assert week(lauter, RYE, "mashes_per_week") < 0.6 * week(lauter, BARLEY, "mashes_per_week")
    assert week(lauter, RYE, "tonnes_per_year") < lauter.tonnes_per_year
    year = figure(lauter, RYE, "annual_lpa") / figure(lauter, RYE, "lpa_per_t")
    assert year < 0.9 * lauter.tonnes_per_year
    assert figure(lauter, BARLEY, "annual_lpa") / figure(lauter, BARLEY, "lpa_per_t") == pytest.approx(600.0, rel=1e-3)


def test_rye_runs_through_a_filter_or_on_the_grain() -> None:
    assert board(tun("filter"), RYE).light is not Light.RED
    assert board(whole_mash(64.0, None), RYE, "handling").light is not Light.RED
    assert "bed" not in {one.key for one in made(whole_mash(64.0, None), RYE).result.boards}


@pytest.mark.parametrize("vessel", ["tun", "lauter", "filter"])
def test_rye_with_caramel_rye_is_never_an_eu_single_malt(vessel: str) -> None:
    """Regulation (EU) 2019/787, Annex I, 2: single malt is of malted barley alone."""
    (answer,) = made(tun(vessel), RYE, ("EU_SINGLE_MALT",)).result.law
    assert answer.verdict.value == "fail"


# A brewer with 40 % raw barley and a lauter tun.


def brewer(**mash: object) -> Plant:
    rests = (Rest(63.0, 45.0), Rest(72.0, 20.0), Rest(78.0, 5.0))
    return brewhouse("lauter", **{"rests": rests, "liquor_L_per_kg": 3.2, "plate_area_m2": 13.0, **mash})


def test_a_brewer_of_raw_barley_sees_its_beta_glucan_and_what_a_gum_rest_does() -> None:
    grist = bill(RB_1=40, PD_1=60)
    assert "mg/L of beta-glucan" in board(brewer(), grist).sentence
    assert hours(brewer(), grist) > 1.05 * hours(brewer(), BARLEY)
    rested = brewer(rests=(Rest(42.0, 30.0), *brewer().mash.rests))
    assert hours(rested, grist) < hours(brewer(), grist)
    assert "A gum rest of 30 min is counted in" in board(rested, grist).sentence


def test_a_brewer_s_hot_wort_runs_off_faster() -> None:
    """Water at 78 degC is three quarters as thick as at 63 degC (handbook: test_run_off.py)."""
    cold = brewer(rests=brewer().mash.rests[:1])
    assert hours(brewer(), BARLEY) < hours(cold, BARLEY)


# Wheat on the grain.


def test_a_wheat_house_on_the_grain_has_its_own_board() -> None:
    wheat = bill(RW_1=70, HE_1=30)
    handling = board(whole_mash(), wheat, "handling")
    assert handling.light is Light.AMBER and "column" in handling.sentence and handling.figure is not None
    few = board(whole_mash(), bill(MZ_1=70, HE_1=30), "handling")
    assert few.light is Light.GREEN and few.remedy == ""


def test_a_still_that_is_heated_hard_scorches_a_thick_mash() -> None:
    stills = tun().pot_stills
    assert stills is not None
    house = replace(whole_mash(64.0, None), column=None)
    boards = [
        board(replace(house, pot_stills=replace(stills, heating_kW=kW, heating_m2=5.0)), RYE, "handling")
        for kW in (10.0, 100.0, 600.0)
    ]
    chances = [one.probability_red for one in boards]
    assert chances == sorted(chances) and boards[-1].light is Light.RED
    assert "less_heat" in {remedy.key for remedy in boards[-1].remedies}
    silent = board(replace(house, pot_stills=stills), BARLEY, "handling")
    assert silent.light is Light.AMBER and "heating surface" in silent.remedy


# Cycle and year.


def test_a_longer_run_off_lengthens_the_cycle_by_as_much() -> None:
    """Arithmetic: what the run-off takes longer, the cycle takes longer."""
    capacity = [made(tun("lauter", plate_area_m2=12.0), of).capacity for of in (RYE, BARLEY)]
    cycles = [next(unit.hours.band.middle for unit in one.units if unit.key == "mash") for one in capacity if one]
    longer = hours(tun("lauter", plate_area_m2=12.0), RYE) - hours(tun("lauter", plate_area_m2=12.0), BARLEY)
    assert cycles[0] - cycles[1] == pytest.approx(longer, rel=0.1)


def test_a_house_with_hours_to_spare_mashes_its_tonnes_all_the_same() -> None:
    slack = replace(tun("lauter"), tonnes_per_year=100.0)
    wheat = bill(WM_1=60, PD_1=40)
    assert hours(slack, wheat) > 1.3 * hours(slack, BARLEY)
    assert figure(slack, wheat, "annual_lpa") / figure(slack, wheat, "lpa_per_t") == pytest.approx(100.0, rel=1e-6)


# What stays in the grain.


def kept(plan: MashPlan, extract: float = 0.76, loss: float = 0.025, tight: float = 1.0) -> float:
    one = np.array([1.0])
    here, usual = draining(plan, extract * one), reference(bool(plan.rests))
    return float(kept_share(here, usual, loss * one, tight * one)[0])


def test_the_usual_mash_keeps_what_is_usual() -> None:
    assert kept(MashPlan(1000.0, 5000.0)) == pytest.approx(0.025)
    rested = MashPlan(1000.0, 5500.0, rests=(Rest(77.0, 60.0),))
    assert kept(rested, loss=0.015) == pytest.approx(0.015)


def test_strong_worts_leave_more_behind_by_hand() -> None:
    """4 L of wort a kilogram: docs/mash.md."""
    assert kept(MashPlan(1000.0, 4000.0)) == pytest.approx(0.0433, abs=0.0002)
    worts = [kept(MashPlan(1000.0, litres)) for litres in (3500.0, 4000.0, 5000.0, 6000.0)]
    assert worts == sorted(worts, reverse=True)
    assert kept(MashPlan(1000.0, 5000.0), tight=1.4) == pytest.approx(0.035)


def test_nothing_washed_leaves_what_the_grain_holds() -> None:
    """Arithmetic: one water, none after it: 0.7 L held of wort with 0.76 kg in 3 + 0.62 x 0.76 L."""
    alone = MashPlan(1000.0, 2770.0, waters=(Water("first", 3.0, 64.0),), waters_to_washback=1)
    assert kept(alone) == pytest.approx(0.7 / (3.0 + 0.62 * 0.76), rel=0.01)


def test_a_strong_wort_runs_off_slower_litre_for_litre() -> None:
    thin, strong = (tun(plate_area_m2=12.5, wort_L_per_t=litres) for litres in (5200.0, 4000.0))
    assert hours(strong, BARLEY) / 4000.0 > hours(thin, BARLEY) / 5200.0


def test_a_slow_bed_leaves_more_behind_and_the_ledger_says_so() -> None:
    deep, shallow = (tun("lauter", plate_area_m2=m2) for m2 in (6.0, 12.5))
    rows = [{row.key: row.band.middle for row in made(plant, BARLEY).result.litres.rows} for plant in (deep, shallow)]
    assert rows[0]["draff"] > 1.1 * rows[1]["draff"]


# What is refused.


def said(plant: Plant, of: Bill = BARLEY) -> str:
    with pytest.raises(Refused) as caught:
        casework.forecast(sheet(of, plant), LOTS, members=16)
    return str(caught.value)


def test_more_sparge_than_the_vessel_is_refused_with_its_limit() -> None:
    waters = (Water("first", 3.0, 64.0), Water("second", 3.5, 72.0))
    text = said(tun(waters=waters, vessel_L=11_000.0))
    assert "11000 L" in text and "At most 3.0 L/kg" in text
    rested = tun("lauter", rests=(Rest(64.0, 60.0),), liquor_L_per_kg=2.0, wort_L_per_t=8500.0, vessel_L=10_000.0)
    assert "of sparge, more than the vessel holds, 10000 L" in said(rested)


def test_a_filter_says_what_its_chambers_take() -> None:
    warned = made(tun("filter"), BARLEY).warnings
    assert any("chambers_L" in problem.where.words and "frames" in problem.sentence() for problem in warned)
    full = said(tun("filter", chambers_L=2000.0))
    assert "2000 L of chambers take 1333 kg" in full and "at most 1667" in full
    half = made(tun("filter", chambers_L=6000.0), BARLEY).warnings
    assert any("less than 70 %" in problem.sentence() for problem in half)
    assert "no filter" in said(tun("lauter", chambers_L=2000.0))


def test_enzyme_against_gums_is_said_to_the_law() -> None:
    assert "malt only" in said(tun(gum_enzyme="added"))
    added = replace(tun("filter", gum_enzyme="added"), enzymes="added microbial")
    assert hours(added, RYE) < hours(tun("filter"), RYE)
    (answer,) = made(added, BARLEY, ("GB_SCOTCH",)).result.law
    assert answer.verdict.value == "fail"
