"""What a page costs: at most twelve questions to the tables, whatever the address."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from gristwright.store.models import Answer, CertificateFile, EnquiryRow, NamedLot
from gristwright.workbench import issued
from workbench.test_certificates import CSV, send
from workbench.test_issued import draft, kept  # noqa: F401

MOST = 12
PAGES = (
    "", "question/", "house/", "cask/", "age/", "offer/", "certificates/", "changes/", "answers/", "files/",
    "answers/{answer}/", "certificates/{file}/", "lots/{lot}/", "lots.csv", "ledger.csv",
)  # fmt: skip


@pytest.fixture
def whole(desk: Client, draft: Answer, owner: Any) -> EnquiryRow:  # noqa: F811
    """An enquiry with a certificate sent and an answer issued."""
    send(desk, draft.enquiry, "more.csv", CSV)
    issued.issue(draft, owner, "A. Example", "")
    return draft.enquiry


@pytest.mark.parametrize("page", PAGES)
def test_a_page_asks_the_tables_at_most_twelve_times(desk: Client, whole: EnquiryRow, page: str) -> None:
    keys = {
        "answer": Answer.objects.get().pk,
        "file": CertificateFile.objects.get().pk,
        "lot": NamedLot.objects.filter(enquiry=whole).first().pk,  # type: ignore[union-attr]
    }
    with CaptureQueriesContext(connection) as asked:
        got = desk.get(f"/enquiries/{whole.pk}/{page.format(**keys)}")
    assert got.status_code == 200
    assert len(asked) <= MOST, [query["sql"][:110] for query in asked]


def test_the_list_asks_the_tables_at_most_twelve_times(desk: Client, whole: EnquiryRow) -> None:
    with CaptureQueriesContext(connection) as asked:
        assert desk.get("/").status_code == 200
    assert len(asked) <= MOST
