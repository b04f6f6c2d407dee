"""The page of the bill: what stands first, what it asks the database, what it leaves for the scripts."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from gristwright.store.models import EnquiryRow

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
