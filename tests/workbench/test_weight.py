"""What a page costs: at most twelve questions to the tables, whatever the address and however much there is."""

from __future__ import annotations

import gzip
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver, reverse

from gristwright.charts.fonts import FACES
from gristwright.store.library import add_lot, lot_records
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import (
    Answer,
    AnswerStep,
    EnquiryRow,
    InOtherLanguage,
    Job,
    MashTrial,
    Papers,
    Remembered,
)
from gristwright.store.models.work import Decision, Kind, State
from gristwright.workbench import made_static
from gristwright.workbench.paging import ON_A_PAGE
from workbench.test_ages import post, said
from workbench.test_brewer import brewers
from workbench.test_brewer import lots as brewers_lots
from workbench.test_certificates import CSV, send
from workbench.test_issued import kept  # noqa: F401

MOST = 12
MANY_ANSWERS, MANY_LOTS, MANY_FILES = 20, 30, 4
# What each page needs in its address.
PAGES: dict[str, tuple[str, ...]] = {
    "standing": (), "password": (), "enquiries": (),
    **dict.fromkeys(("bill", "ledger", "question", "house", "cask", "age", "offer", "changes", "keeping"), ("key",)),
    **dict.fromkeys(("give_files", "delete", "certificates", "lots", "type_lot"), ("key",)),
    **dict.fromkeys(("remembered", "elsewhere", "answers"), ("key",)),
    "give_one": ("key", "name"), "lot": ("key", "lot_key"), "edit_lot": ("key", "lot_key"), "job": ("key", "job_key"),
    "follow_mash": ("key", "mash_key"), "answer": ("key", "answer_key"),
    "give_in_language": ("key", "answer_key", "language"), "give_answer": ("key", "answer_key", "kind"),
    "certificate_file": ("key", "file_key"), "give_file": ("key", "file_key"),
    "forecast_pdf": ("brewers_key",), "forecast_json": ("brewers_key",),
}  # fmt: skip
# The pages that a brewer's enquiry shows otherwise.
BREWERS = ("bill", "house", "offer", "answers", "keeping", "changes")
# Addresses that take what a form sends and have no page: each turns a GET away, or leads to the page of the form.
POSTED = {
    **dict.fromkeys(("leave", "theme", "start", "try", "mash", "map", "take_newest", "keep_release"), ("key",)),
    **dict.fromkeys(("keep_claim", "copy", "archive", "bin", "send_file", "find"), ("key",)),
    **dict.fromkeys(("ask_bill", "take_bill_out", "take_out_damaged", "delete_kept"), ("key",)),
    "delete_lot": ("key", "lot_key"),
    "stop_mash": ("key", "job_key"), "stop_job": ("key", "job_key"), "undo_step": ("key", "step_key"),
    "mend_file": ("key", "file_key"), "take_file": ("key", "file_key"),
    "delete_file": ("key", "file_key"), "decide": ("key", "answer_key"),
}  # fmt: skip
# Pages of those who are not in: the first owner, and everybody who comes.
DOORS = ("begin", "enter")
# The last resort reads every table there is, row by row, and is opened when nothing else can be.
LAST_RESORT = ("damaged", "give_kept")
PLAIN = ("leave", "theme", "start")


@pytest.fixture
def full(desk: Client, owner: Any, asked: EnquiryRow, kept: dict[str, Any]) -> EnquiryRow:  # noqa: F811
    """An enquiry with much of everything: lots, files with faults, answers of every standing, changes."""
    first = lot_records(asked)[0]
    for number in range(MANY_LOTS):
        add_lot(asked, replace(first, lot_number=f"N{number}"), f"More {number}", owner)
    for number in range(MANY_FILES):
        send(desk, asked, f"file {number}.csv", CSV + b"\nP-9,pale malt,4x,8y,2z\nP-8,no malt,4x,8y,2z")
    post(desk, asked, "claim", said())
    for number in range(MANY_ANSWERS):
        _answer(asked, owner, kept, number)
    _change(asked)
    asked.lot_steps.create(told=["A lot added."], came=[], went=[], by="A. Example")
    Remembered.objects.create(key="k", supplier="S", what="type", word="pale", means="pale_malt", by="A. Example")
    job = Job.objects.create(enquiry=asked, kind=Kind.MASH, state=State.RUNNING)
    assert not MashTrial.objects.filter(job=job).exists()
    return asked


def _answer(asked: EnquiryRow, owner: Any, kept: dict[str, Any], number: int) -> None:  # noqa: F811
    job = Job.objects.create(enquiry=asked, members=256, state=State.DONE, asked_by=owner)
    answer = Answer.objects.create(enquiry=asked, job=job, made_by=owner, **kept["answer"])
    if number % 2:
        papers = Papers.objects.create(answer=answer, **kept["papers"])
        InOtherLanguage.objects.create(papers=papers, **kept["german"])
        for kind in list(Decision)[: 1 + number % 3]:
            AnswerStep.objects.create(answer=answer, kind=kind, who="B. Example", by=owner)


def _change(asked: EnquiryRow) -> None:
    """More changes than the page shows."""
    offers = list(asked.offered.all())
    for number in range(ON_A_PAGE + 30):
        offer = offers[number % len(offers)]
        offer.price_per_t = 400.0 + number
        offer.save()


def address(name: str, needs: tuple[str, ...], keys: dict[str, Any]) -> str:
    """The address of a page, with the keys it needs."""
    own = {"mash_key": "job_key", "brewers_key": "key"}
    return reverse(name, kwargs={own.get(need, need): keys[need] for need in needs})


def keys_of(full: EnquiryRow, owner: Any) -> dict[str, Any]:
    issued = full.answers.exclude(papers=None).first()
    assert issued is not None
    return {
        "key": full.pk,
        "answer_key": issued.pk,
        "file_key": full.certificate_files.all()[0].pk,
        "lot_key": full.named.all()[0].pk,
        "job_key": full.jobs.filter(kind=Kind.SEARCH)[0].pk,
        "mash_key": full.jobs.filter(kind=Kind.MASH)[0].pk,
        "step_key": full.lot_steps.all()[0].pk,
        "brewers_key": save_enquiry(brewers(), brewers_lots(), owner).pk,
        "kind": "pdf",
        "language": "de",
        "name": "lots.csv",
    }


def questions(desk: Client, where: str) -> list[str]:
    """What the tables are asked for a page, save what Django asks once of a connection."""
    assert connection.features.supports_json_field
    with CaptureQueriesContext(connection) as asked:
        got = desk.get(where)
    assert got.status_code == 200, where
    return [query["sql"] for query in asked]


def pages(keys: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every page with its address, those of a brewer's enquiry too."""
    for name, needs in PAGES.items():
        yield name, address(name, needs, keys)
    for name in BREWERS:
        yield f"{name}, brewer's", address(name, ("brewers_key",), keys)


def test_no_page_asks_the_tables_more_than_twelve_times(desk: Client, full: EnquiryRow, owner: Any) -> None:
    asked = {name: len(questions(desk, where)) for name, where in pages(keys_of(full, owner))}
    assert {name: count for name, count in asked.items() if count > MOST} == {}


def test_every_address_is_a_page_or_says_why_not() -> None:
    entered = [*PAGES, *POSTED, *DOORS, *LAST_RESORT]
    assert sorted(entered) == sorted(str(pattern.name) for pattern in get_resolver().url_patterns)


def test_what_is_posted_turns_a_look_away(desk: Client, full: EnquiryRow, owner: Any) -> None:
    keys = keys_of(full, owner)
    for name, needs in POSTED.items():
        where = address(name, () if name in PLAIN else needs, keys)
        assert desk.get(where).status_code in (302, 405), name


@pytest.mark.django_db
def test_the_doors_cost_no_more() -> None:
    visitor = Client(headers={"host": "127.0.0.1"})
    assert len(questions(visitor, reverse("begin"))) <= MOST
    get_user_model().objects.create_user("A.Example", password="barley-and-water-7")
    assert len(questions(visitor, reverse("enter"))) <= MOST


def test_what_is_large_is_sent_packed_to_a_browser_that_takes_it(desk: Client, tmp_path: Path, settings: Any) -> None:
    made_static.lay_out(tmp_path)
    settings.STATICFILES_DIRS = [tmp_path]
    for name in (made_static.ENGINE, *(f"made/SourceSansPro-{face}.ttf" for face in FACES)):
        plain = (tmp_path / name).read_bytes()
        packed = desk.get(f"/static/{name}", headers={"accept-encoding": "gzip"})
        sent = b"".join(packed.streaming_content)  # type: ignore[attr-defined]
        assert packed.headers["Content-Encoding"] == "gzip"
        assert len(sent) < 0.6 * len(plain)
        assert gzip.decompress(sent) == plain
        assert b"".join(desk.get(f"/static/{name}").streaming_content) == plain  # type: ignore[attr-defined]


def test_a_page_is_sent_packed_too(desk: Client, asked: EnquiryRow) -> None:
    where = reverse("bill", args=[asked.pk])
    packed = desk.get(where, headers={"accept-encoding": "gzip"})
    assert packed.headers["Content-Encoding"] == "gzip"
    assert len(packed.content) < 0.3 * len(desk.get(where).content)
