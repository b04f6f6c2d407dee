"""Every text that a brewer reads is in his own words: no washback, no still house, no spirit."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client

from casework.test_beer import lots, sheet
from gristwright import casework
from gristwright.documents.beer_forecast import beer_forecast_view
from gristwright.documents.data import as_data
from gristwright.records.bill import Bill, Share
from gristwright.records.lot import Lot
from gristwright.reference.house_words import UNTOUCHED, in_words_of
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import EnquiryRow
from gristwright.store.models.work import Kind
from gristwright.workbench import jobs
from gristwright.workbench.brewing import kettle
from pages import words
from workbench.test_brewer import HOUSES, brewers

NOT_HIS = re.compile(
    r"washback|still[ -]?house|\bstills?\b(?= (?:charge|is|are)|s\b)|\bpot (?:still|ale)|low wines|\bspirits?\b|"
    r"pure alcohol|\bthe still\b|\bdistill(?:er|ery|eries|ers|ation)\b|\bcasks?\b|\bthe wash\b|\ba wash\b",
    re.IGNORECASE,
)
# Where a figure was read and what a certificate calls a lot are no texts of ours.
SOURCES = (*UNTOUCHED - {"title", "labels"}, "rests")
PAGES = ("", "question/", "house/", "certificates/", "answers/", "changes/", "files/")
# What an enquiry may be about is offered to everybody.
OFFERED = "whisky, distilled from the wash"


def texts(part: Any, path: str = "") -> list[tuple[str, str]]:
    """Every text of ours in the data of a view, with where it stands."""
    if isinstance(part, str):
        return [(path, part)]
    if isinstance(part, dict):
        return [found for key, value in part.items() if key not in SOURCES for found in texts(value, f"{path}/{key}")]
    return [found for value in part for found in texts(value, path)] if isinstance(part, list) else []


def not_his(text: str) -> list[str]:
    return [text[max(0, found.start() - 50) : found.end() + 50] for found in NOT_HIS.finditer(text)]


@pytest.mark.parametrize("name", HOUSES)
def test_a_forecast(name: str) -> None:
    asked = HOUSES[name]
    made = casework.brew(sheet(), lots(), members=256)
    view = beer_forecast_view(asked, made, kettle(asked, lots()).today, asked.date, [], 256)
    assert [(path, said) for path, text in texts(as_data(view)) for said in not_his(text)] == []


def test_boards_of_a_beer_of_rye() -> None:
    bill = Bill("rye", (Share("pilsner_malt", 5500), Share("rye_malt", 4500)))
    made = casework.brew(replace(sheet(), bill=bill, prices={}), [Lot(s.lot_id, s.lot_id) for s in bill.shares], 256)
    foam = next(board for board in made.result.boards if board.key == "foam")
    assert "fermenter" in foam.sentence
    said = [text for board in made.result.boards for text in (board.title, board.sentence, board.remedy)]
    assert [word for text in said for word in not_his(text)] == []


@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_the_desk(desk: Client, owner: Any, page: str) -> None:
    row = save_enquiry(brewers(), lots(), owner)
    shown = desk.get(f"/enquiries/{row.pk}/{page}")
    assert shown.status_code == 200
    assert not_his(words(shown).replace(OFFERED, "")) == []


@pytest.mark.parametrize("kind", [Kind.MASH, Kind.MAP])
def test_a_mash(desk: Client, owner: Any, kind: Kind) -> None:
    row = save_enquiry(brewers(), lots(), owner)
    sent = {"share.PA-1": "50", "share.RB-1": "35", "share.HE-2": "15", "rest": "", "points": "3"}
    desk.post(f"/enquiries/{row.pk}/{'mash/' if kind == Kind.MASH else 'mash/map/'}", sent)
    job = jobs.claim()
    assert job is not None
    jobs.run(job)
    assert not_his(words(desk.get(f"/enquiries/{EnquiryRow.objects.get().pk}/"))) == []


def test_words_keep_their_place_in_a_sentence() -> None:
    said = "Washbacks: a washback's heat, wash.boiled_over_unboiled, WB-washback-1, the washbacks."
    assert in_words_of(said, True) == (
        "Fermenters: a fermenter's heat, wash.boiled_over_unboiled, WB-washback-1, the fermenters."
    )
    assert in_words_of(said, False) == said
    assert json.dumps(sorted(UNTOUCHED))
