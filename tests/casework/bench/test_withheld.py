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
from gristwright.numerics.runs import Runs
from gristwright.numerics.weights import equal_weights
from gristwright.records.bill import Bill
from gristwright.records.order import Dossier
from gristwright.records.plant import PlantRecord
from gristwright.records.results import Recommendation
from gristwright.stages.grist.boards import enzyme_board
from houses import LOTS, bill, brewhouse, enquiry, sheet, tun, whole_mash
from stages.grist.board_sample import grist

MEMBERS = 256
HOUSE = whole_mash()
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
def short_dossier() -> Dossier:
    asked = enquiry(maize(5.0), HOUSE, {"MZ-1": (0, 100), "HE-1": (0, 20)}, grid_parts=100)
    return dossier(replace(asked, record=PlantRecord(372.0, 5.0, 60)), LOTS, members=MEMBERS)


def test_less_malt_than_converts_gives_no_litres_in_any_figure() -> None:
    """Cooked maize with 12 % of high-enzyme malt converts; with 8 % the mash leaves over a tenth, with less it is short
    of enzyme as well."""
    assert forecast(12).result.withheld is None and "lpa_per_t" in forecast(12).result.figures
    for malt, reasons in ((8, ["mash_left_pct"]), (5, ["short_of_enzyme_pct", "mash_left_pct"]),
                          (2, ["short_of_enzyme_pct", "mash_left_pct"])):  # fmt: skip
        result = forecast(malt).result
        assert result.withheld is not None
        assert not result.figures and result.ledger is None
        assert {key for key, _, _ in result.withheld.names} >= set(OF_LITRES)
        assert [figure.key for figure in result.withheld.reasons] == reasons
        assert "starch" in result.withheld.sentence


def test_the_boards_say_what_the_reason_says() -> None:
    boards = {board.key: board for board in forecast(8).result.boards}
    (reason,) = forecast(8).result.withheld.reasons  # type: ignore[union-attr]
    assert boards["starch"].light.value == "not in order" and boards["starch"].probability_red > 0.5
    assert f"{reason.band.middle:.1f} % (" in boards["starch"].sentence
    assert all(boards[key].light.value == "unknown" for key in ("gravity", "dextrin", "nitrile"))
    assert all(boards[key].figure is None for key in ("gravity", "dextrin", "nitrile"))


@pytest.mark.parametrize(("power", "left", "said"), [(30.0, 2.0, 0), (8.0, 2.0, 1), (30.0, 12.0, 1), (8.0, 12.0, 2)])
def test_one_place_decides_by_enzyme_and_by_the_middle_of_what_the_mash_leaves(
    power: float, left: float, said: int
) -> None:
    weights = equal_weights(256)
    board = enzyme_board(grist(power, 20.0), Runs(weights), True, False)
    why = withheld(board, np.full(256, left), Runs(weights))
    assert (len(why.reasons) if why else 0) == said
    assert (withheld(board, None, Runs(weights)) is None) == (power > 12.0)


def test_the_json_of_a_forecast_has_null_and_the_reason() -> None:
    view = forecast_view(forecast(5))
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
    cold = casework.forecast(sheet(bill(PD_1=100), tun(settled=57.0)), LOTS, members=MEMBERS)
    week = cold.capacity
    assert cold.result.withheld is not None and week is not None
    assert not {"lpa_per_week", "spirit_charges"} & set(week.figures)
    assert "spirit_still" not in {unit.key for unit in week.units}
    assert "withheld" in week.words[-1]


def test_a_bill_with_withheld_litres_is_never_offered() -> None:
    answer = advised(12.0, 15.0)
    assert answer.offers
    for offer in answer.offers:
        malt = next(pct for lot, _, pct in offer.result.labels if lot == "HE-1")
        assert offer.result.withheld is None and malt > 9.0


def test_the_cheapest_bill_that_converts_is_found() -> None:
    """Between the cheapest, which do not convert, and the dearest lies the line; the offer stands at it."""
    answer = advised(15.0, 20.0, 2048)
    cheapest = min(answer.offers, key=lambda offer: offer.changes["cost_per_lpa"].band.middle)
    malt = next(pct for lot, _, pct in cheapest.result.labels if lot == "HE-1")
    below = casework.forecast(sheet(maize(malt - 1.0), HOUSE), LOTS, members=2048).result
    assert below.withheld is not None


def test_demands_that_exclude_each_other_are_told_without_litres_of_a_mash_that_fails() -> None:
    answer = advised(12.0, 3.0)
    assert not answer.offers
    given = {line.demand: line.gives for line in answer.search.conflict}
    assert "withheld" in given["converts by its own enzymes"]
    assert not re.search(r"\d L/t", given["converts by its own enzymes"])


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
    asked = enquiry(maize(2.0), HOUSE, {"MZ-1": (0, 100), "HE-1": (0, 3)}, grid_parts=100)
    made = dossier(asked, LOTS, members=MEMBERS)
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
    asked = enquiry(maize(2.0), HOUSE, {"MZ-1": (0, 100), "HE-1": (0, 3)}, grid_parts=100)
    order = dossier(asked, LOTS, members=MEMBERS).order
    aims = {aim.key: aim for aim in order.aims}
    assert order.rounding is None
    assert all(aims[key].aim is None for key in ("original_gravity_sg", "final_gravity_sg", "wash_abv_pct"))
    assert not any("ravity under" in action.seen or "ravity above" in action.seen for action in order.actions)
    assert any("starch left" in note for note in order.notes)


def test_a_grid_of_plans_gives_litres_only_where_the_mash_converts() -> None:
    axes = [axis_of("mash.cooker.malt_min=20,90")]
    found = vary(sheet(maize(8.0), HOUSE), LOTS, axes, members=MEMBERS)
    short, long = found.cells
    assert found.today.withheld and short.withheld and not long.withheld
    assert "lpa_per_t" not in short.figures and "lpa_per_t" in long.figures and "lpa_per_t" not in long.changes
    view = variation_view(found, {})
    cells = [{figure.key: figure for figure in cell.figures} for cell in view.cells]
    assert cells[0]["lpa_per_t"].middle is None and cells[0]["lpa_per_t"].withheld == short.withheld
    assert cells[1]["lpa_per_t"].middle is not None
    lines = variation_csv(found).decode().splitlines()
    place = lines[0].split(",").index("lpa_per_t_middle")
    assert lines[2].split(",")[place] == "" and "not converted" in lines[2]
    json.dumps(variation_chart(found), allow_nan=False)


def test_a_lot_for_another_changes_no_litres_of_a_mash_that_fails() -> None:
    found = compare(sheet(maize(5.0), HOUSE), LOTS, "HE-1", "PD-1", members=MEMBERS)
    assert found.withheld is not None
    assert set(found.changes) == {"diastatic_power_degLintner", "dextrinising_units"}
    assert not any("L of" in line for line in found.adjust) and not found.measure_next


def test_a_specification_puts_no_worth_on_litres_that_are_withheld() -> None:
    spec = specify(sheet(maize(5.0), HOUSE), LOTS, 3.0, members=MEMBERS)
    assert spec.value_per_lpa is None and "withheld" in spec.value_words
    assert all(line.worth is None for lot in spec.lots for line in lot.lines)


def test_a_brewers_gravity_and_strength_are_withheld_too() -> None:
    short = casework.brew(sheet(bill(RB_1=90, PD_1=10), brewhouse(settled=64.0)), LOTS, members=MEMBERS).result
    assert short.withheld is not None and "washback" not in short.withheld.sentence
    assert set(short.figures) == {"colour_EBC", "power", "units"}
    usual = casework.brew(sheet(bill(RB_1=30, PD_1=70), brewhouse(settled=64.0)), LOTS, members=MEMBERS).result
    assert usual.withheld is None and "abv_pct" in usual.figures
