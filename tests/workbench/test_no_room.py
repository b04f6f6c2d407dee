"""A disk that takes nothing more: a page that keeps what was typed, jobs that end and go on, no job stuck."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.backends.db import SessionStore
from django.db import OperationalError, connection
from django.test import Client

from gristwright.store.models import Answer, EnquiryRow, Job
from gristwright.store.models.work import State
from gristwright.workbench import jobs, worker
from pages import words

FULL = "database or disk is full"


@contextmanager
def full(words: str = FULL, begins: tuple[str, ...] = ("INSERT", "UPDATE", "DELETE")) -> Iterator[None]:
    """A database that takes no row."""

    def refused(execute: Callable[..., Any], sql: str, *given: Any) -> Any:
        if sql.startswith(begins):
            raise OperationalError(words)
        return execute(sql, *given)

    with connection.execute_wrapper(refused):
        yield


def test_what_was_typed_is_on_the_page_that_says_that_the_disk_is_full(desk: Client, asked: EnquiryRow) -> None:
    address = "/enquiries/start/"
    with full():
        answer = desk.post(address, {"way": "empty", "title": 'Rye & "more" <b>'}, headers={"referer": ""})
    assert answer.status_code == 507
    page = answer.content.decode()
    assert "has no room left on its disk. Make room there and try again." in page
    assert "Nothing was saved" in page
    assert f'action="{address}"' in page
    assert "Rye &amp; &quot;more&quot; &lt;b&gt;</textarea>" in page
    assert EnquiryRow.objects.count() == 1
    assert desk.post(address, {"way": "empty", "title": "Rye"}).status_code == 302


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("attempt to write a readonly database", "can only be read now"),
        ("disk I/O error", "does not answer as it should"),
        ("unable to open database file", "cannot be opened now"),
    ],
)
def test_a_database_that_takes_nothing_is_told(desk: Client, asked: EnquiryRow, said: str, shown: str) -> None:
    with full(said):
        answer = desk.post("/enquiries/start/", {"way": "empty", "title": "Rye"})
    assert (answer.status_code, shown in words(answer)) == (507, True)


def test_a_password_is_on_no_page(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object, **__: object) -> None:
        raise OperationalError(FULL)

    visitor = Client(headers={"host": "127.0.0.1"}, raise_request_exception=False)
    monkeypatch.setattr(SessionStore, "save", refused)
    said = {"username": "A. Example", "password1": "barley-and-water-7", "password2": "barley-and-water-7"}
    answer = visitor.post("/begin/", said)
    assert answer.status_code == 507
    assert "barley-and-water-7" not in answer.content.decode()
    assert "A. Example" in answer.content.decode()
    assert issubclass(SessionStore, SessionBase)


def test_a_full_disk_under_what_is_read_is_told_too(
    desk: Client, asked: EnquiryRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("gristwright.workbench.views.enquiries.starting.from_example", refused)
    answer = desk.post("/enquiries/start/", {"way": "example"})
    assert answer.status_code == 507
    assert "no room left" in words(answer)


def test_a_job_that_meets_a_full_disk_fails_in_a_sentence(
    asked: EnquiryRow, owner: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def meets(*_: object, **__: object) -> None:
        raise OperationalError(FULL)

    monkeypatch.setattr(jobs.recommend, "dossier", meets)
    jobs.ask(asked, 512, owner)
    claimed = jobs.claim()
    assert claimed is not None
    jobs.run(claimed)
    job = Job.objects.get()
    assert job.state == State.FAILED
    assert job.said[0].endswith("Make room there and try again. Nothing of this was kept.")
    assert not Answer.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_an_end_that_cannot_be_written_is_written_when_there_is_room(asked: EnquiryRow, owner: Any) -> None:
    job = jobs.ask(asked, 512, owner)
    jobs.claim()
    waited = []

    def room(seconds: float) -> None:
        waited.append(seconds)
        if len(waited) == 3:
            no_room.__exit__(None, None, None)

    no_room = full()
    no_room.__enter__()
    jobs.end_at_last(job, State.FAILED, ["full"], wait=room)
    assert len(waited) == 3
    assert Job.objects.get().state == State.FAILED


@pytest.mark.django_db(transaction=True)
def test_a_worker_waits_for_room_and_goes_on(asked: EnquiryRow, owner: Any, caplog: pytest.LogCaptureFixture) -> None:
    jobs.ask(asked, 512, owner)
    waited = []

    def room(seconds: float) -> None:
        waited.append(seconds)
        if len(waited) == 2:
            no_room.__exit__(None, None, None)

    no_room = full()
    no_room.__enter__()
    job = worker.when_it_can_be_written(jobs.claim, wait=room)
    assert job is not None
    assert job.state == State.RUNNING
    assert caplog.text.count("has no room left on its disk") == 1
