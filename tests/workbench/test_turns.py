"""A change reads what it changes inside its own transaction, and waits for others."""

from __future__ import annotations

from contextlib import contextmanager
from typing import Any

import pytest
from django.db import OperationalError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from gristwright.store.models import EnquiryRow
from gristwright.workbench import settings, turns
from gristwright.workbench.turns import TRIES, in_turn, turn

pytestmark = pytest.mark.django_db(transaction=True)
PAGES = ("question", "house", "cask", "offer", "age/prices")
TABLES = {
    "question": "enquiry",
    "house": "plantversion",
    "cask": "caskversion",
    "offer": "billshare",
    "age/prices": "release",
}


def test_the_desk_begins_a_change_with_the_right_to_write() -> None:
    """Two that only read first would each write over what the other wrote, or be turned away."""
    options = settings.DATABASES["default"]["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"  # type: ignore[index]
    assert options["timeout"] == 20  # type: ignore[index]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_reads_what_it_changes_inside_the_transaction(desk: Client, asked: EnquiryRow, name: str) -> None:
    address = f"/enquiries/{asked.pk}/{name}/"
    table = f'"store_{TABLES.get(name, name)}"'
    with CaptureQueriesContext(connection) as seen:
        desk.post(address, {"title": "x"})
    queries = [query["sql"] for query in seen]
    begun = queries.index("BEGIN")
    reads = [place for place, query in enumerate(queries) if table in query]
    assert reads
    assert min(reads) > begun


@pytest.mark.parametrize("name", ["question", "house", "offer", "age"])
def test_to_look_at_a_page_takes_no_turn(desk: Client, asked: EnquiryRow, name: str) -> None:
    with CaptureQueriesContext(connection) as seen:
        desk.get(f"/enquiries/{asked.pk}/{name}/")
    assert "BEGIN" not in [query["sql"] for query in seen]


def busy(times: int) -> Any:
    """A database that others hold so many times."""
    left = [times]

    @contextmanager
    def atomic() -> Any:
        if left[0]:
            left[0] -= 1
            raise OperationalError("database is locked")
        yield

    return atomic


def test_a_turn_is_waited_for_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turns.transaction, "atomic", busy(TRIES - 1))
    done = []
    with turn():
        done.append(1)
    assert done == [1]


def test_a_turn_that_never_comes_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turns.transaction, "atomic", busy(TRIES))
    with pytest.raises(OperationalError, match="locked"), turn():
        pass


def test_a_fault_inside_a_turn_undoes_it_and_is_not_tried_again() -> None:
    made = []

    @turn()
    def change() -> None:
        made.append(EnquiryRow.objects.create(title="x"))
        raise OperationalError("inside")

    with pytest.raises(OperationalError, match="inside"):
        change()
    assert len(made) == 1
    assert not EnquiryRow.objects.exists()


def test_a_view_in_turn_is_one_transaction(rf: Any) -> None:
    view = in_turn(lambda request: connection.in_atomic_block)  # type: ignore[arg-type,return-value]
    assert [view(rf.get("/")), view(rf.post("/"))] == [False, True]
    assert not transaction.get_connection().in_atomic_block
