"""Another window deletes what a request is about, between any two of its queries: it is told, and nothing is broken."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import connection, models, transaction
from django.test import Client
from django.urls import get_resolver, reverse

from gristwright.store.models import Answer, CertificateFile, EnquiryRow, Job, LotStep, NamedLot
from gristwright.store.models.work import State
from gristwright.workbench import certificates, kept_rows
from pages import words
from workbench.test_certificates import CSV, send

NOT_HERE = "what it showed was deleted"
OTHER = {"name": "lots.csv", "language": "de", "kind": "json"}
SAID = {"title": "x", "rest": "PD-1", "bill_name": "As it was", "aside": "yes", "who": "A. Example", "discard": "yes"}
# Further into a request the same queries come again.
MOST_QUERIES = 60


@contextmanager
def goes_before(number: int, row: models.Model) -> Iterator[list[bool]]:
    """A row that goes before so many queries which no turn holds together; whether there were so many."""
    left, gone, held = [number], [False], len(connection.savepoint_ids)

    def counted(execute: Callable[..., Any], sql: str, *given: Any) -> Any:
        if len(connection.savepoint_ids) == held and not gone[0]:
            left[0] -= 1
            if not left[0]:
                gone[0] = True
                kept_rows.delete(type(row), row.pk)
        return execute(sql, *given)

    with connection.execute_wrapper(counted):
        yield gone


@pytest.fixture
def full(desk: Client, asked: EnquiryRow, owner: Any) -> dict[str, models.Model]:
    """A row of each kind that an address names."""
    sound = CSV.replace(b"24B", b"240").replace(b"PD-1", b"PD-8").replace(b"PD-9", b"PD-7")
    for name, content in (("torn.csv", CSV), ("sound.csv", sound)):
        send(desk, asked, name, content)
    torn, file = CertificateFile.objects.order_by("sent_at")
    assert desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/take/").status_code == 302
    job = Job.objects.create(enquiry=asked, asked_by=owner, state=State.DONE)
    return {
        "key": asked, "file_key": torn, "job_key": job, "step_key": LotStep.objects.get(),
        "lot_key": NamedLot.objects.get(enquiry=asked, name="PD-8"),
        "answer_key": Answer.objects.create(enquiry=asked, job=job, inputs="{}", view="{}", inputs_sha256="0" * 64),
    }  # fmt: skip


def addresses(full: dict[str, models.Model]) -> Iterator[tuple[str, models.Model]]:
    """Every address that names rows, with each of them."""
    for pattern in get_resolver().url_patterns:
        needs = list(pattern.pattern.regex.groupindex)
        keys = {need: full[need].pk if need in full else OTHER[need] for need in needs}
        yield from ((reverse(str(pattern.name), kwargs=keys), full[need]) for need in needs if need in full)


def statuses(desk: Client, method: str, address: str, row: models.Model, step: int) -> Iterator[int]:
    """What is answered when the row goes once who asks is known, later and so on."""
    for number in range(3, MOST_QUERIES, step):
        with transaction.atomic():
            with goes_before(number, row) as gone:
                send = desk.post if method == "POST" else desk.get
                yield send(address, SAID if method == "POST" else {}).status_code
            transaction.set_rollback(True)
        if not gone[0]:
            return


@pytest.mark.parametrize(("method", "step"), [("GET", 11), ("POST", 7)])
def test_what_goes_in_the_middle_is_told(desk: Client, full: dict[str, models.Model], method: str, step: int) -> None:
    desk.raise_request_exception = False
    found = {(address, type(row).__name__): list(statuses(desk, method, address, row, step))
             for address, row in addresses(full)}  # fmt: skip
    assert not {what: said for what, said in found.items() if max(said) >= 500}


@pytest.mark.django_db(transaction=True)
def test_a_file_for_an_enquiry_that_is_gone_is_kept_nowhere(
    desk: Client, asked: EnquiryRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    def late(*sent: Any, **also: Any) -> Any:
        kept_rows.delete(EnquiryRow, asked.pk)
        return receive(*sent, **also)

    receive = certificates.receive
    monkeypatch.setattr(certificates, "receive", late)
    page = send(desk, asked, "late.csv", CSV)
    assert page.status_code == 404
    assert NOT_HERE in words(page)
    assert not CertificateFile.objects.exists()
