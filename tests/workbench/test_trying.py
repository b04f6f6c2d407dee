"""The bill being tried says what the casework says, with and without a script."""

from __future__ import annotations

import csv
import io

import pytest
from django.test import Client

from gristwright.basics import Refused
from gristwright.casework.bench.anchor import anchor
from gristwright.casework.bench.setting_up import set_up
from gristwright.flowsheet import mashing
from gristwright.numerics.weights import band
from gristwright.records.bill import Bill, Share
from gristwright.store.models import EnquiryRow
from gristwright.workbench import trying
from gristwright.workbench.trying import FIRST, MEMBERS, Tried, ready, tried_view
from pages import words
from scenario import enquiry, lots

TEN = Bill("ten", (Share("PD-1", 9000), Share("CM-120", 1000)))
SCRIPT = {"HX-Request": "true"}


def test_the_rest_goes_to_the_lot_that_makes_it_up() -> None:
    assert Tried({"A": 5000, "B": 1000, "C": 500}, "A").full == {"A": 8500, "B": 1000, "C": 500}
    assert Tried({"A": 5000, "B": 11_000}, "A").full["A"] == 0


@pytest.mark.parametrize(
    ("parts", "said"),
    [({"A": 5000, "B": 4000}, "add to 90 %: 10 % missing"), ({"A": 9000, "B": 4000}, "add to 130 %: 30 % too much")],
)
def test_shares_that_do_not_add_up_are_said(parts: dict[str, int], said: str) -> None:
    with pytest.raises(Refused, match=said):
        _ = Tried(parts, "").bill


@pytest.mark.parametrize("members", [FIRST, MEMBERS])
def test_the_change_is_paired_by_the_simulated_mash(members: int) -> None:
    asked = enquiry()
    prices = {o.lot_id: o.price_per_t for o in asked.offered}
    bench = set_up(lots(), prices, asked.plant, asked.cask, [], members)
    bench, _ = anchor(bench, asked.present, asked.record)
    this, today = (bench.made(bill).spirit.lpa_per_t for bill in (TEN, asked.present))
    wanted = band(this - today, bench.weights)
    change = tried_view(ready(asked, lots(), members), TEN).figures[0].change
    assert (change.low, change.middle, change.high) == (wanted.low, wanted.middle, wanted.high)
    assert wanted.high < 0.0


def test_first_figures_say_so_and_ask_for_the_final_ones(desk: Client, asked: EnquiryRow) -> None:
    here = f"/enquiries/{asked.pk}/"
    first = desk.get(here).content.decode()
    assert f"First figures, on {FIRST} draws" in first and f'hx-post="{here}try/" hx-include="#shares"' in first
    assert f'href="{here}?final"' in first
    sent = {"share.PD-1": "90", "share.CM-120": "10"}
    htmx = {"HTTP_HX_REQUEST": "true"}
    tried = desk.post(f"{here}try/", sent, **htmx).content.decode()
    assert f"95 % of {FIRST} draws" in tried and "90 % PD-1 + 10 % CM-120" in tried
    for final in (desk.get(f"{here}?final"), desk.post(f"{here}try/", sent | {"final": ""}, **htmx)):
        text = final.content.decode()
        assert "Final figures" in text and "First figures" not in text
        assert f"95 % of {MEMBERS} draws" in text and "90 % PD-1 + 10 % CM-120" in text


def test_first_and_final_figures_are_near_each_other() -> None:
    first, final = (tried_view(ready(enquiry(), lots(), members), TEN).this for members in (FIRST, MEMBERS))
    for key, figure in final.figures.items():
        assert first.figures[key].middle == pytest.approx(figure.middle, rel=0.005)


def test_today_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    on = ready(enquiry(), lots())
    monkeypatch.setattr(mashing, "simulate", lambda *_: pytest.fail("simulated"))
    tried_view(on, enquiry().present)


def test_the_bench_is_made_once_for_the_same_inputs(monkeypatch: pytest.MonkeyPatch) -> None:
    first = ready(enquiry(), lots())
    monkeypatch.setattr(trying, "set_up", lambda *_: pytest.fail("made again"))
    assert ready(enquiry(), lots()) is first


def test_with_a_script_only_what_moves_is_sent(desk: Client, asked: EnquiryRow) -> None:
    answer = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": "10", "rest": "PD-1"}, headers=SCRIPT)
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "<html" not in text
    assert 'id="tried"' in text
    assert 'name="share.PD-1" value="90"' in text


def test_without_a_script_the_whole_page_comes_back(desk: Client, asked: EnquiryRow) -> None:
    answer = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": "10", "rest": "PD-1"}, follow=True)
    text = answer.content.decode()
    assert "90 % PD-1 + 10 % CM-120" in text
    assert text.count("<caption") == 5
    assert text.count('<table class="lots">') == 1
    assert "What reaches the spirit, in amounts" in text and "likely felt" in text


@pytest.mark.parametrize("share", ["-5", "200", "five", "1.234", "nan", "1e400"])
def test_a_share_that_is_none_is_said_and_not_kept(desk: Client, asked: EnquiryRow, share: str) -> None:
    answer = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": share, "rest": "PD-1"})
    assert answer.status_code == 422
    assert "CM-120: " in words(answer)
    assert EnquiryRow.objects.get().tried == {}


def test_what_lies_outside_its_range_may_be_tried_and_is_said(desk: Client, asked: EnquiryRow) -> None:
    answer = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": "20", "rest": "PD-1"}, follow=True)
    assert "CM-120: 20 % is outside the 0 to 15 % allowed." in answer.content.decode()
    assert "caramel malt: 20 % is outside the 5 to 15 % allowed." in answer.content.decode()


def test_a_board_is_a_word_with_a_sign(desk: Client, asked: EnquiryRow) -> None:
    text = desk.get(f"/enquiries/{asked.pk}/").content.decode()
    assert '<span class="sign" aria-hidden="true">✓</span> in order' in text
    assert '<span class="sign" aria-hidden="true">?</span> unknown' in text


def test_the_ledger_can_be_taken_away(desk: Client, asked: EnquiryRow) -> None:
    answer = desk.get(f"/enquiries/{asked.pk}/ledger.csv")
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert "attachment" in answer["Content-Disposition"]
    levels = {row[0]: float(row[1]) for row in rows[1:]}
    losses = [float(row[1]) for row in rows[2:5] if float(row[1]) < 0]
    assert levels["Predicted spirit yield"] == pytest.approx(float(rows[1][1]) + sum(losses))
