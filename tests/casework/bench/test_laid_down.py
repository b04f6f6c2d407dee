"""A cask plan that the model of the cask does not reach, and casks behind the first: said, not forecast, judged."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from gristwright import casework
from gristwright.basics import Refused, Verdict
from gristwright.casework.bench import set_up, whisky
from gristwright.casework.bench.laid_down import fill_of
from gristwright.records.cask import LaterStay
from gristwright.records.enquiry import CaskPlan
from gristwright.records.remedies import Alteration
from houses import CASK, DATE, LOTS, PRICES, bill, sheet, tun

MEMBERS = 32
LARGE = replace(CASK, kind=replace(CASK.kind, capacity_L=1000.0))
BEHIND = (LaterStay(0.5, "oak", 500.0, new=False, charred=True), LaterStay(1.0, "steel", 5000.0, country="FR"))
FINISHED = replace(CASK, stays=BEHIND)


def of(plan: CaskPlan, **asked: object) -> casework.Forecast:
    made = replace(sheet(bill(PD_1=100), tun()), cask=plan, categories=("EU_WHISKY",), **asked)
    return casework.forecast(made, LOTS, members=MEMBERS)


@pytest.mark.parametrize("plan", [LARGE, replace(CASK, entry_abv_pct=85.0)])
def test_outside_the_model_there_is_spirit_and_law_and_no_bottle(plan: CaskPlan) -> None:
    plant = tun()
    stills = replace(plant.pot_stills, heart_abv_pct=85.0) if plant.pot_stills else None
    made = replace(sheet(bill(PD_1=100), replace(plant, pot_stills=stills)), cask=plan, categories=("EU_WHISKY",))
    found = casework.forecast(made, LOTS, members=MEMBERS)
    assert "lpa_per_t" in found.result.figures
    assert not {"bottles_per_t", "bottled_lpa_per_t"} & set(found.result.figures)
    assert found.result.ledger is not None
    assert "bottle" not in [row.key for row in found.result.ledger.rows]
    [said] = [problem for problem in found.warnings if "the law is judged all the same" in problem.what]
    assert "the model's range" in said.what
    [answer] = found.result.law
    assert answer.verdict is (Verdict.FAIL if plan is LARGE else Verdict.PASS)


def test_what_needs_the_cask_is_refused_with_the_reason() -> None:
    bench = set_up(LOTS[:1], PRICES, tun(), LARGE, [], MEMBERS)
    with pytest.raises(Refused, match="1000 L is outside 2 to 750 L"):
        _ = bench.matured


def test_only_the_first_cask_is_simulated_and_it_is_said() -> None:
    alone, finished = of(CASK), of(FINISHED)
    assert fill_of(FINISHED) == fill_of(CASK)
    assert finished.result.figures["bottles_per_t"] == alone.result.figures["bottles_per_t"]
    [said] = [p.what for p in finished.warnings if "not simulated" in p.what]
    assert "follows the first cask for its 4 years; 0.5 years in oak, then 1 year in steel behind it" in said


def test_stays_follow_each_other_without_a_day_between_and_without_drift() -> None:
    bench = set_up(LOTS[:1], PRICES, tun(), FINISHED, [], MEMBERS)
    stays = whisky.facts(bench, bill(PD_1=100), DATE).stays
    assert stays is not None
    assert [stay.date_out for stay in stays] == [dt.date(2030, 11, 25), dt.date(2031, 5, 25), dt.date(2032, 5, 25)]
    assert [stay.date_in for stay in stays[1:]] == [stay.date_out for stay in stays[:-1]]
    assert [(stay.wood, stay.new, stay.country) for stay in stays[1:]] == [("oak", False, None), ("steel", None, "FR")]


def test_names_of_the_house_stand_beside_those_asked_for() -> None:
    result = of(CASK, markets=("US",)).result
    assert [answer.category for answer in result.law] == ["EU_WHISKY"]
    beside = {answer.category: answer.verdict for answer in result.law_beside}
    assert beside["EU_SINGLE_MALT"] is beside["US_WHISKY"] is Verdict.PASS
    assert "EU_WHISKY" not in beside
    assert "GB_SCOTCH" not in beside


def test_a_name_that_hangs_on_the_basis_stands_among_the_warnings() -> None:
    lots = tuple(replace(lot, analyses=()) for lot in LOTS)
    made = replace(sheet(bill(RB_1=49.5, PD_1=50.5), tun()), markets=("US",))
    result = casework.forecast(made, lots, members=MEMBERS).result
    [said] = [line for line in result.warnings if "Malt whisky" in line]
    assert "fails as weighed and may stand dry: malted barley 50.50 % of the grist as weighed, at least 51 %" in said


def test_a_remedy_whose_shares_are_rounded_is_still_judged() -> None:
    bench = set_up([lot for lot in LOTS if lot.lot_id in ("PD-1", "RM-1")], PRICES, tun(), CASK, [], MEMBERS)
    made = bill(PD_1=70, RM_1=30)
    now = whisky.judge(bench, made, ("EU_WHISKY", "EU_SINGLE_MALT"), DATE)
    for husks in (3.0, 4.0, 7.0):
        change = Alteration(added_pct=(("rice_husks", husks),))
        assert "fails" in whisky.law_of_change(bench, made, now, change, DATE)
    moved = Alteration(bill=(("PD-1", 3.333), ("RM-1", -3.334)))
    assert whisky.law_of_change(bench, made, now, moved, DATE) == (
        "The term single malt on an EU whisky fails with it as without."
    )
