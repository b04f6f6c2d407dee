"""Litres are not given where the mash may not make them: in no figure, no table, no sentence, and always with why."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gristwright import casework
from gristwright.casework.bench.one_bill import Forecast
from gristwright.casework.bench.withheld import withheld
from gristwright.casework.mash_house.over import axis_of
from gristwright.casework.mash_house.vary import vary
from gristwright.casework.recommend.dossier import dossier
from gristwright.casework.trade.compare_lots import compare
from gristwright.casework.trade.specify import specify
from gristwright.charts.heat_map import variation_chart
from gristwright.documents.data import as_data
from gristwright.documents.dossier import dossier_pages
from gristwright.documents.dossier_html import dossier_html
from gristwright.documents.dossier_view import dossier_view
from gristwright.documents.entries import unresolved
from gristwright.documents.forecast import forecast_view
from gristwright.documents.mash_trials import variation_csv, variation_view
from gristwright.documents.speech import speech
from gristwright.numerics.runs import Runs
from gristwright.numerics.weights import equal_weights
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry
from gristwright.records.order import Dossier
from gristwright.records.plant import PlantRecord
from gristwright.records.results import Recommendation
from houses import LOTS, bill, brewhouse, enquiry, sheet, tun, whole_mash

MEMBERS = 256
HOUSE, TUN = whole_mash(), tun()
RYE = bill(RM_1=85, CR_1=15)
OF_LITRES = ("lpa_per_t", "psy_lpa_per_t", "annual_lpa", "bottled_lpa_per_t", "bottles_per_t", "cost_per_lpa",
             "wash_abv_pct", "original_gravity_sg", "final_gravity_sg")  # fmt: skip


def maize(malt: float) -> Bill:
    return bill(f"{malt:g} % malt", MZ_1=100.0 - malt, HE_1=malt)


@cache
def forecast(malt: float) -> Forecast:
    return casework.forecast(sheet(maize(malt), HOUSE), LOTS, members=MEMBERS)


@cache
def advised(present: float, most: float, members: int = MEMBERS, **given: object) -> Recommendation:
    asked = enquiry(maize(present), HOUSE, {"MZ-1": (0, 100), "HE-1": (0, most)}, grid_parts=100)
    return casework.advise(replace(asked, **given), LOTS, members=members)


@cache
def rye_in_a_tun() -> Forecast:
    """A mash that never runs off."""
    return casework.forecast(sheet(RYE, TUN), LOTS, members=MEMBERS)


def about_rye(**more: tuple[float, float]) -> Enquiry:
    lots = {lot.replace("_", "-"): span for lot, span in more.items()}
    return enquiry(RYE, TUN, {"RM-1": (0, 100), "CR-1": (0, 15), **lots}, grid_parts=500)


@cache
def short_dossier() -> Dossier:
    return dossier(replace(about_rye(PD_1=(0, 100)), record=PlantRecord(340.0, 5.0, 60)), LOTS, members=MEMBERS)


def test_litres_fall_smoothly_as_malt_falls_short_and_the_board_is_red_before() -> None:
    """Cooked maize with 12, 8, 5, 3 and 2 % of high-enzyme malt: our estimates, no source; no step, no cliff."""
    results = [forecast(malt).result for malt in (12.0, 8.0, 5.0, 3.3, 2.0, 1.0)]
    litres = [r.figures["lpa_per_t"].band.middle for r in results]
    assert all(r.withheld is None for r in results)
    assert litres == sorted(litres, reverse=True)
    assert litres[1] > 0.99 * litres[0] and litres[2] > 0.98 * litres[0] and 0.6 < litres[-1] / litres[0] < 0.8
    reds = [next(b for b in r.boards if b.key == "enzymes").probability_red for r in results]
    assert reds == sorted(reds) and reds[0] < 0.05 and reds[3] > 0.5


def test_the_boards_say_what_the_reason_says() -> None:
    result = rye_in_a_tun().result
    boards = {board.key: board for board in result.boards}
    assert result.withheld is not None and "never runs off" in result.withheld.sentence
    assert not result.figures and result.ledger is None
    assert {key for key, _, _ in result.withheld.names} >= set(OF_LITRES)
    assert boards["bed"].light.value == "not in order"
    assert all(boards[key].light.value == "unknown" for key in ("gravity", "dextrin", "nitrile"))
    assert all(boards[key].figure is None for key in ("gravity", "dextrin", "nitrile"))


@pytest.mark.parametrize(("left", "said"), [(2.0, 0), (40.0, 0), (60.0, 1)])
def test_one_place_decides_by_what_stays_starch(left: float, said: int) -> None:
    why = withheld(np.full(256, left), Runs(equal_weights(256)))
    assert (len(why.reasons) if why else 0) == said
    assert withheld(None, Runs(equal_weights(256))) is None


def test_the_json_of_a_forecast_has_null_and_the_reason() -> None:
    view = forecast_view(rye_in_a_tun())
    told = as_data(view)
    assert told["ledger"] is None and told["withheld"]["sentence"]
    for key in OF_LITRES:
        entry = told["figures"][key]
        assert entry["low"] is entry["middle"] is entry["high"] is None
        assert entry["withheld"] == told["withheld"]["sentence"]
    week = {figure["key"]: figure for figure in told["capacity"]["figures"]}
    assert week["lpa_per_week"]["middle"] is None and week["lpa_per_week"]["withheld"]
    assert week["mashes_per_week"]["middle"] is not None and "withheld" not in week["mashes_per_week"]
    assert unresolved(replace(view, capacity=None)) == []


def test_a_pot_still_house_keeps_what_does_not_rest_on_litres() -> None:
    stuck = rye_in_a_tun()
    week = stuck.capacity
    assert stuck.result.withheld is not None and week is not None
    assert not {"lpa_per_week", "spirit_charges"} & set(week.figures)
    assert "spirit_still" not in {unit.key for unit in week.units}
    assert "withheld" in week.words[-1]


def test_a_bill_short_of_enzyme_is_never_offered() -> None:
    answer = advised(12.0, 15.0)
    assert answer.offers
    for offer in answer.offers:
        board = next(board for board in offer.result.boards if board.key == "enzymes")
        assert offer.result.withheld is None and board.probability_red <= 0.05


def test_demands_that_exclude_each_other_are_told_without_litres_of_a_mash_that_fails() -> None:
    answer = advised(12.0, 3.0)
    assert not answer.offers
    given = {line.demand: line.gives for line in answer.search.conflict}
    assert "withheld" in given["converts by its own enzymes"]  # the nearest bill has no malt at all


def test_where_todays_litres_are_withheld_no_difference_is_given() -> None:
    made = short_dossier()
    answer = made.recommendation
    assert answer.present.withheld is not None and answer.offers
    assert not answer.anchor.used and answer.anchor.before is None
    assert all(not offer.changes and offer.withheld for offer in answer.offers)
    assert answer.trial is None and not answer.measure_next and not answer.effects
    assert any("withheld" in line for line in answer.answer)
    assert not made.sensitivity.one_percent and not made.sensitivity.flips and made.sensitivity.withheld
    today, *others = made.annual
    assert "annual_lpa" not in today.figures and "annual_cost" in today.figures
    assert all("annual_lpa" in line.figures and "change_lpa" not in line.figures for line in others)
    assert made.gain is not None and not made.gain.points and not made.gain.costs


# Litres a tonne as this house could seem to give: none may stand anywhere but for the bills that convert.
SEEMING = re.compile(r"\b3[5-9]\d\.\d\b")


def test_every_document_of_a_mash_that_fails_prints_and_says_why() -> None:
    made = dossier(about_rye(), LOTS, members=MEMBERS)
    view = dossier_view(made)
    assert unresolved(view) == []
    json.dumps(as_data(view), allow_nan=False)
    page = dossier_html(view, made.recommendation)
    text = re.sub(r"<style>.*?</style>|<svg.*?</svg>|<[^>]+>", " ", page, flags=re.DOTALL)
    assert made.recommendation.present.withheld is not None
    assert made.recommendation.present.withheld.because in text
    assert SEEMING.findall(text) == []
    assert dossier_pages(made, view)[0].startswith(b"%PDF")


def test_the_order_of_a_mash_that_fails_names_no_gravity() -> None:
    order = short_dossier().order
    aims = {aim.key: aim for aim in order.aims}
    assert order.rounding is None
    withheld = ("first_wort_sg", "weak_sg", "original_gravity_sg", "final_gravity_sg", "wash_abv_pct")
    assert all(aims[key].aim is None for key in withheld)
    english = speech()
    seen = [english.say(action.seen) for action in order.actions]
    assert not any("ravity under" in one or "ravity above" in one for one in seen)
    notes = [english.say(note) for note in order.notes]
    assert any(note.startswith("Not in order for this bill: ") and "run-off" in note for note in notes)


def test_a_grid_of_plans_gives_no_litres_where_the_mash_never_runs_off() -> None:
    found = vary(sheet(RYE, TUN), LOTS, [axis_of("mash.settled_mash_degC=62,64")], members=MEMBERS)
    assert found.today.withheld and all(cell.withheld and "lpa_per_t" not in cell.figures for cell in found.cells)
    view = variation_view(found, {})
    cells = [{figure.key: figure for figure in cell.figures} for cell in view.cells]
    assert cells[0]["lpa_per_t"].middle is None and cells[0]["lpa_per_t"].withheld == found.cells[0].withheld
    lines = variation_csv(found).decode().splitlines()
    place = lines[0].split(",").index("lpa_per_t_middle")
    assert lines[2].split(",")[place] == "" and "never runs off" in lines[2]
    json.dumps(variation_chart(found), allow_nan=False)


def test_a_lot_for_another_changes_no_litres_of_a_mash_that_fails() -> None:
    found = compare(sheet(RYE, TUN), LOTS, "CR-1", "CM-1", members=MEMBERS)
    assert found.withheld is not None
    assert set(found.changes) == {"diastatic_power_degLintner", "dextrinising_units"}
    assert not any("L of" in line for line in found.adjust) and not found.measure_next


def test_a_specification_puts_no_worth_on_litres_that_are_withheld() -> None:
    spec = specify(sheet(RYE, TUN), LOTS, 3.0, members=MEMBERS)
    assert spec.value_per_lpa is None and "withheld" in spec.value_words
    assert all(line.worth is None for lot in spec.lots for line in lot.lines)


def test_a_brewers_gravity_and_strength_are_withheld_too() -> None:
    stuck = casework.brew(sheet(RYE, brewhouse("tun")), LOTS, members=MEMBERS).result
    assert stuck.withheld is not None and "washback" not in stuck.withheld.sentence
    assert set(stuck.figures) == {"colour_EBC", "power", "units"}
    usual = casework.brew(sheet(bill(RB_1=30, PD_1=70), brewhouse(settled=64.0)), LOTS, members=MEMBERS).result
    assert usual.withheld is None and "abv_pct" in usual.figures


def test_a_brewers_attenuation_falls_when_enzymes_are_short() -> None:
    """Wort that is boiled keeps what its enzymes did not do; the sign is common practice, how much is the model's."""
    bills = [bill(RB_1=raw, PD_1=100.0 - raw) for raw in (0.0, 40.0, 70.0, 90.0)]
    beers = [casework.brew(sheet(made, brewhouse()), LOTS, members=MEMBERS).result for made in bills]
    attenuations = [beer.figures["apparent_attenuation_pct"].band.middle for beer in beers]
    assert attenuations == sorted(attenuations, reverse=True) and attenuations[0] - attenuations[2] > 5.0
