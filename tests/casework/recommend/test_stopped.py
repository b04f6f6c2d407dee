"""Where boards stop every bill that meets the demands, the answer says that, which board, and shows the ends."""

from __future__ import annotations

import re
from functools import cache

import pytest

from gristwright import casework
from gristwright.basics import Light
from gristwright.casework.recommend import search
from gristwright.casework.recommend.dossier import dossier
from gristwright.casework.recommend.recommend import answer_on_bench
from gristwright.documents.dossier import dossier_pages
from gristwright.documents.dossier_html import dossier_html
from gristwright.documents.dossier_view import dossier_view
from gristwright.documents.entries import unresolved
from gristwright.documents.recommendation import recommendation_pages
from gristwright.documents.speech import speech
from gristwright.documents.view import recommendation_view
from gristwright.files.jobs_in import read_bill
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry, Offered
from gristwright.records.lot import Analysis, Lot
from gristwright.records.order import Dossier
from gristwright.records.results import Recommendation
from house.places import EXAMPLES
from houses import LOTS, bill, enquiry, tun

MEMBERS = 256
RYE = {"RM-1": (80.0, 100.0), "CR-1": (0.0, 20.0)}
MIXED, PURE = bill(RM_1=85, CR_1=15), bill(RM_1=100)
EU = ("EU_WHISKY",)


def asked(present: Bill, vessel: str = "lauter") -> Enquiry:
    return enquiry(present, tun(vessel, 64.0, plate_area_m2=12.0), RYE, categories=EU)


@cache
def advised(present: Bill, vessel: str = "lauter") -> Recommendation:
    return casework.advise(asked(present, vessel), LOTS, members=MEMBERS)


@cache
def in_full() -> Dossier:
    return dossier(asked(MIXED), LOTS, members=MEMBERS)


@pytest.mark.parametrize("present", [MIXED, PURE], ids=["with caramel rye", "rye malt alone"])
def test_an_all_rye_tun_is_told_that_the_run_off_stops_every_bill(present: Bill) -> None:
    answer = advised(present)
    found, text = answer.search, " ".join(answer.answer)
    assert not answer.offers and found.bills_allowed == 5 and found.judged == 4
    (stop,) = found.stopped
    assert stop.board.key == "bed" and stop.bills == 4 and stop.board.probability_red > stop.most_let_pass
    assert stop.board.figure is not None
    assert "No bill can be offered" in text and "5 bills meet every demand" in text
    assert f"Run-off stops all of them: out of order in {100 * stop.board.probability_red:.0f} % of the runs" in text
    assert f"{stop.board.figure.band.middle:.1f} h (" in text and "has no husk" in text
    assert "differs from the present one" not in text and "meets every demand" not in text


def test_the_ends_of_the_ranges_are_shown_with_all_their_figures() -> None:
    answer = advised(MIXED)
    assert [shown.result.bill.name for shown in answer.shown] == ["100 % RM-1", "80 % RM-1 + 20 % CR-1"]
    present = answer.present
    for shown in answer.shown:
        assert set(shown.result.figures) == set(present.figures) and shown.result.ledger is not None
        assert {board.key for board in shown.result.boards} == {board.key for board in present.boards}
        assert [law.category for law in shown.result.law] == ["EU_WHISKY"]
        assert set(shown.changes) == {"lpa_per_t", "cost_per_lpa", "annual_lpa"}
        assert "not offered" in shown.reason and "run-off" in shown.reason
    assert answer.shown[0].changes["lpa_per_t"].band.low > 0.0 > answer.shown[1].changes["lpa_per_t"].band.high


def test_the_present_bill_is_not_shown_a_second_time() -> None:
    assert [shown.result.bill.name for shown in advised(PURE).shown] == [
        "95 % RM-1 + 5 % CR-1",
        "80 % RM-1 + 20 % CR-1",
    ]


def test_the_view_lays_today_and_the_ends_side_by_side() -> None:
    view = recommendation_view(advised(MIXED))
    assert unresolved(view) == []
    assert view.advice.offers == () and view.advice.offers_title == "No bill can be offered"
    assert view.advice.comparison.columns == view.advice.boards.columns == ("Today", "Bill 1", "Bill 2")
    labels = " ".join(row.label for row in view.advice.comparison.rows)
    assert "New spirit" in labels and "Malt and processing" in labels and "categories" in labels
    (stop,) = view.advice.search.stopped
    assert stop.bills.middle == 4.0 and stop.board.key == "bed"
    assert stop.most_let_pass.middle == 50.0


def test_no_sentence_contradicts_a_count_of_the_page() -> None:
    view = recommendation_view(advised(MIXED)).advice
    counts = {count.key: count.middle for count in view.search.counts}
    said = [int(number) for number in re.findall(r"(\d+) bills? meets? every demand", " ".join(view.answer))]
    assert said == [counts["bills_allowed"]]
    assert view.search.conflict == ()


def test_pages_and_html_say_it_too() -> None:
    made = in_full()
    view = dossier_view(made)
    page = dossier_html(view, made.recommendation)
    text = re.sub(r"<[^>]+>", " ", page)
    assert "No bill can be offered" in text and "No bill meets every demand" not in text
    assert "Bill 1" in text and "100 % RM-1" in text and "Offer Bill" not in text
    assert dossier_pages(made, view)[0].startswith(b"%PDF")
    alone = recommendation_view(made.recommendation)
    assert recommendation_pages(alone, made.recommendation.present.ledger)[0].startswith(b"%PDF")
    assert [line.letter for line in made.annual] == ["", "Bill 1", "Bill 2"]
    assert any("run-off" in speech().say(note).lower() for note in made.order.notes)
    assert "husk_pct" not in {aim.key for aim in made.order.aims}


def test_a_mash_filter_is_offered_rye() -> None:
    """It needs no husk: what stops a tun does not stop it."""
    answer = advised(MIXED, "filter")
    assert len(answer.offers) > 2 and not answer.shown and not answer.search.stopped
    assert all(board.light is not Light.RED for offer in answer.offers for board in offer.result.boards)


def test_only_the_present_bill_is_told_apart_from_none_allowed() -> None:
    only = enquiry(PURE, tun("filter"), {"RM-1": (100.0, 100.0)})
    answer = casework.advise(only, LOTS, members=MEMBERS)
    assert answer.search.bills_allowed == 1
    assert answer.answer[0].startswith("No other bill is offered: today's is the only one inside the ranges")


def test_a_sound_bill_that_others_beat_in_money_and_litres_is_found() -> None:
    """Rye is cheaper and richer here than this barley malt, and a tun does not run it off: the best bills all fall."""
    poor = Lot("BM-1", "pale_distilling_malt", analyses=(Analysis("fermentability_pct", 76.0, "%"),))
    offered = tuple(Offered(lot, price, 0, 10_000, False) for lot, price in (("BM-1", 900.0), ("RM-1", 200.0)))
    wanted = enquiry(bill(BM_1=35, RM_1=65), tun("tun", 64.0, plate_area_m2=12.0), {}, offered=offered)
    bench, answer = answer_on_bench(wanted, (*LOTS, poor), members=MEMBERS)
    assert answer.offers and not answer.search.stopped
    for offer in answer.offers:
        worst = search.worst_board(bench, wanted, offer.result.bill, bench.made(offer.result.bill))
        assert worst.probability_red <= search.most_risk(worst.key)


def test_more_wheat_on_a_tun_is_told_what_stops_it_and_how_today_stands() -> None:
    """Today's 85 % is likelier too slow than not; the answer says so of it and of more."""
    ranges = {"WM-1": (0.0, 100.0), "PD-1": (0.0, 100.0)}
    asked_of = enquiry(bill(WM_1=85, PD_1=15), tun("lauter", 64.0, plate_area_m2=12.0), ranges, grid_parts=1000)
    marked = tuple(Offered(o.lot_id, o.price_per_t, 0, 10_000, o.lot_id == "WM-1") for o in asked_of.offered)
    answer = casework.advise(Enquiry(**{**vars(asked_of), "offered": marked}), LOTS, members=MEMBERS)
    text = " ".join(answer.answer)
    assert answer.offers and "Not offered: 100 % WM-1: run-off" in text
    assert re.search(r"Today's bill: run-off not in order in \d+ % of the runs", text)


def test_a_tun_that_runs_rye_off_today_is_judged_by_its_own_hours() -> None:
    """What the house runs off it runs off: bills like it go by its hours, and no bill of 3 h is out of order."""
    house = tun("lauter", 64.0, plate_area_m2=12.0, usual_run_off_hours=3.0)
    answer = casework.advise(enquiry(MIXED, house, RYE, categories=EU), LOTS, members=MEMBERS)
    assert answer.offers
    for offer in answer.offers:
        board = next(board for board in offer.result.boards if board.key == "bed")
        assert board.probability_red < 0.5 and "does not run this off" not in board.sentence


def test_more_malt_is_offered_to_a_house_that_is_short_of_enzyme() -> None:
    """Today's want of enzyme is no other bill's: where none is sound by today's mash, some are mashed on their own."""
    plant = read_bill(EXAMPLES / "maize-rye-column" / "bill.toml").accepted().plant
    lots = (
        Lot("MZ-9", "raw_maize", analyses=(Analysis("starch_dry_pct", 72.0, "%"),)),
        Lot("HM-9", "high_enzyme_malt", analyses=(Analysis("diastatic_power", 210.0, "degLintner"),)),
    )
    offered = (Offered("MZ-9", 215.0, 0, 10_000, False), Offered("HM-9", 640.0, 0, 1_500, False))
    answer = casework.advise(enquiry(bill(MZ_9=95, HM_9=5), plant, {}, offered=offered), lots, members=MEMBERS)
    short = next(board for board in answer.present.boards if board.key == "enzymes")
    assert short.probability_red > 0.3
    assert answer.offers and not answer.search.stopped
    assert all(share.parts >= 600 for o in answer.offers for share in o.result.bill.shares if share.lot_id == "HM-9")
