"""The page of the bill: what stands first, what it asks the database, what it leaves for the scripts."""

from __future__ import annotations

import threading
import uuid
from dataclasses import replace
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from gristwright.records.enquiry import Offered
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import EnquiryRow
from gristwright.workbench import newest as newest_module
from gristwright.workbench.newest import newest
from scenario import enquiry, lots

SCRIPT = {"HX-Request": "true"}
TEN = {"share.CM-120": "10", "rest": "PD-1"}
MOST_QUERIES = 12


def test_the_page_and_its_moving_part_ask_the_database_little(desk: Client, asked: EnquiryRow) -> None:
    here = f"/enquiries/{asked.pk}/"
    for ask in (lambda: desk.get(here), lambda: desk.post(f"{here}try/", TEN, headers=SCRIPT)):
        with CaptureQueriesContext(connection) as queries:
            assert ask().status_code == 200
        assert len(queries) <= MOST_QUERIES, [one["sql"][:120] for one in queries]


def test_the_headline_and_the_ledger_come_before_everything_else(desk: Client, asked: EnquiryRow) -> None:
    text = desk.get(f"/enquiries/{asked.pk}/").content.decode()
    answer = text[text.index('id="tried"') :]
    order = ['class="headline"', "<svg", 'id="h-boards"', 'id="h-figures"', 'id="h-ledger"', 'id="h-lots"', 'id="mash"']
    places = [answer.index(mark) for mark in order]
    assert places == sorted(places)
    assert "style=" not in answer[answer.index("<svg") : answer.index("</svg>")]


def test_the_picture_of_the_ledger_stands_without_scripts_and_is_not_drawn_twice(
    desk: Client, asked: EnquiryRow
) -> None:
    here = f"/enquiries/{asked.pk}/"
    whole = desk.post(f"{here}try/", TEN, follow=True).content.decode()
    assert "New spirit" in whole[whole.index("<svg") : whole.index("</svg>")]
    assert "<svg" not in desk.post(f"{here}try/", TEN, headers=SCRIPT).content.decode()


@pytest.mark.parametrize(
    ("share", "said"), [("87.5", "left: 12.5 %"), ("100", "nothing left"), ("101,25", "too much: 1.25 %")]
)
def test_what_is_left_stands_beside_the_total(desk: Client, asked: EnquiryRow, share: str, said: str) -> None:
    half = {"share.PD-1": share.replace("101,25", "100"), "rest": ""}
    sent = half | ({"share.CM-120": "1,25"} if share == "101,25" else {})
    text = desk.post(f"/enquiries/{asked.pk}/try/", sent, headers=SCRIPT).content.decode()
    assert f'<span class="left">{said}</span>' in text


def test_a_board_is_one_line_that_unfolds(desk: Client, asked: EnquiryRow) -> None:
    text = desk.get(f"/enquiries/{asked.pk}/").content.decode()
    boards = text[text.index('id="h-boards"') : text.index('id="h-figures"')]
    assert boards.count("<details") == boards.count("<summary") > 5
    assert "<details open" not in boards


def test_of_thirty_lots_those_of_the_bill_are_marked_and_none_is_hidden_without_scripts(
    desk: Client, owner: Any
) -> None:
    pale = lots()[1]
    more = tuple(replace(pale, lot_id=f"PD-{k}", lot_number=f"23-{k}") for k in range(5, 31))
    offers = tuple(Offered(lot.lot_id, 500.0) for lot in more)
    whole = replace(enquiry(), offered=(*enquiry().offered, *offers))
    row = save_enquiry(whole, (*lots(), *more), owner)
    text = desk.get(f"/enquiries/{row.pk}/").content.decode()
    rows = text[text.index('<tbody id="lots">') : text.index("<tfoot>")]
    assert rows.count("<tr") == 30
    assert rows.count("<tr data-used") == 1
    assert "<tr hidden" not in rows
    assert '<div class="finder" hidden>' in text and "Show all 30 lots" in text


def test_few_lots_need_no_finder(desk: Client, asked: EnquiryRow) -> None:
    assert 'class="finder"' not in desk.get(f"/enquiries/{asked.pk}/").content.decode()


def test_only_the_newest_of_several_requests_is_worked_out() -> None:
    key, wanted, waiting = uuid.uuid4(), [], threading.Event()

    def ask() -> None:
        waiting.set()
        with newest(key) as one:
            wanted.append(one)

    with newest(key) as first:
        overtaken = threading.Thread(target=ask)
        overtaken.start()
        waiting.wait()
        while _count(key) < 2:
            pass
        last = threading.Thread(target=ask)
        last.start()
        while _count(key) < 3:
            pass
    overtaken.join()
    last.join()
    assert first
    assert sorted(wanted) == [False, True]


def _count(key: uuid.UUID) -> int:
    return newest_module._asked[key]


def test_names_of_the_markets_stand_behind_those_asked_for_and_fails_are_a_line(
    desk: Client, asked: EnquiryRow
) -> None:
    EnquiryRow.objects.update(markets=["US"])
    text = desk.get(f"/enquiries/{asked.pk}/").content.decode()
    law = text[text.index('id="h-law"') : text.index('id="h-mind"')]
    order = [
        'id="law-eu_single_malt"',
        "Judged for the house and its markets",
        'id="law-us_whisky"',
        "Also judged, fails",
    ]
    places = [law.index(mark) for mark in order]
    assert places == sorted(places)
    assert 'id="law-us_bourbon"' not in law
    assert "Bourbon whisky;" in law
