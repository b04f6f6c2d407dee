"""What cannot be read any more, written straight into the tables: no page of it stays broken, all of it can be had."""

from __future__ import annotations

import io
import json
import zipfile
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from gristwright.store.mapping import save_enquiry
from gristwright.store.models import Answer, CertificateFile, EnquiryRow, Job, LotVersion, Papers
from pages import words
from scenario import enquiry, lots
from workbench.test_certificates import CSV, send

CUT = '{"name": "Upper Ho'
# Where something else stands than a page can read: table, column, what stands there, and a page that reads it.
ODD = [
    ("store_offeredlot", "price_per_t", "NaN", "offer/"),
    ("store_lotversion", "document", CUT, "certificates/"),
    ("store_lotversion", "document", '{"analyses": [{"value": 1e999}]}', "certificates/"),
    ("store_plantversion", "document", "[1, 2]", "house/"),
    ("store_caskversion", "document", CUT, "cask/"),
    ("store_caskversion", "document", '{"kind": [], "years": {}}', "cask/"),
    ("store_enquiry", "asked", '[{"parts": 5}]', "answers/"),
    ("store_enquiry", "date", "2026-13-45", "question/"),
    ("store_lotgroup", "keys", CUT, "offer/"),
    ("store_lotgroup", "keys", '[["PD-1"]]', ""),
    ("store_certificatefile", "headings", CUT, "certificates/"),
    ("store_caskversion", "at", "some time", "changes/"),
    ("store_job", "state", "lost", "answers/"),
    ("store_lotstep", "went", CUT, "certificates/"),
    ("store_historicallotgroup", "keys", CUT, "changes/"),
]


@pytest.fixture
def full(desk: Client, asked: EnquiryRow, owner: Any) -> EnquiryRow:
    """An enquiry with a row in every table that a desk fills by hand."""
    send(desk, asked, "new.csv", CSV)
    sound = CSV.replace(b"24B", b"240").replace(b"PD-1", b"PD-8")
    send(desk, asked, "sound.csv", sound)
    file = CertificateFile.objects.get(name="sound.csv")
    assert desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/take/").status_code == 302
    Job.objects.create(enquiry=asked, asked_by=owner, state="failed")
    save_enquiry(enquiry(), lots(), owner)
    desk.raise_request_exception = False
    return asked


def spoil(asked: EnquiryRow, table: str, column: str, value: Any) -> None:
    key = "id" if table == "store_enquiry" else "enquiry_id"
    where = f"{key} = '{asked.pk.hex}'"
    if table in ("store_lotversion", "store_plantversion"):
        where = "1 = 1"
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA ignore_check_constraints = ON")
        cursor.execute(f"UPDATE {table} SET {column} = %s WHERE {where}", [value])
        assert cursor.rowcount


def shown(desk: Client, address: str) -> int:
    return desk.get(address).status_code


@pytest.mark.parametrize(("table", "column", "value", "page"), ODD)
def test_no_page_of_what_is_damaged_stays_broken(
    desk: Client, full: EnquiryRow, table: str, column: str, value: Any, page: str
) -> None:
    here = f"/enquiries/{full.pk}/"
    spoil(full, table, column, value)
    assert shown(desk, "/") == 200
    assert shown(desk, here + page) in (200, 302, 422)
    with zipfile.ZipFile(io.BytesIO(desk.get(f"{here}as-kept.zip").content)) as kept:
        assert json.loads(kept.read("rows.json"))["store_enquiry"][0]["id"] == full.pk.hex
        assert [name for name in kept.namelist() if name.endswith(".as-sent")]
    while parts := desk.get(f"{here}damaged/").context["parts"]:
        said = {"part": parts[0].part, "row": parts[0].row}
        assert "was taken out" in words(desk.post(f"{here}damaged/out/", said, follow=True))
    assert shown(desk, here + page) in (200, 302)


def test_an_enquiry_with_a_damaged_part_is_deleted_unread(desk: Client, full: EnquiryRow) -> None:
    here = f"/enquiries/{full.pk}/damaged/"
    assert "Nothing of it is damaged" in words(desk.post(f"{here}delete/", {"sure": "yes"}))
    spoil(full, "store_certificatefile", "headings", CUT)
    assert "Say that it is to be deleted" in words(desk.post(f"{here}delete/"))
    assert desk.post(f"{here}delete/", {"sure": "yes"}).status_code == 302
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            columns = [column.name for column in connection.introspection.get_table_description(cursor, table)]
            if table.startswith("store_") and "enquiry_id" in columns:
                cursor.execute(f"SELECT count(*) FROM {table} WHERE enquiry_id = '{full.pk.hex}'")
                assert cursor.fetchone() == (0,), table
    connection.check_constraints()
    assert EnquiryRow.objects.count() == 1
    assert LotVersion.objects.exists()


def test_an_answer_whose_view_is_damaged_is_listed_and_a_draft_is_taken_out(
    desk: Client, full: EnquiryRow, owner: Any
) -> None:
    here = f"/enquiries/{full.pk}/"
    issued, draft = (
        Answer.objects.create(
            enquiry=full, job=Job.objects.create(enquiry=full, state="done"), view=CUT, view_sha256="x"
        )
        for _ in range(2)
    )
    Papers.objects.create(answer=issued, view=CUT, view_sha256="x", pdf=b"%PDF", pdf_sha256="x")
    assert [shown(desk, f"{here}answers/"), shown(desk, f"{here}answers/{issued.pk}/")] == [200, 422]
    assert "Take everything away as it is kept" in words(desk.get(f"{here}answers/{issued.pk}/"))
    (part,) = desk.get(f"{here}damaged/").context["parts"]
    desk.post(f"{here}damaged/out/", {"part": part.part, "row": part.row})
    assert list(Answer.objects.values_list("pk", flat=True)) == [issued.pk]
    assert not Answer.objects.filter(pk=draft.pk).exists()


def test_a_page_that_is_not_to_blame_is_a_fault_of_ours(
    desk: Client, full: EnquiryRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("gristwright.workbench.views.enquiries.changes.changes", lambda _: 1 / 0)
    monkeypatch.setattr("gristwright.workbench.damaged.changes", lambda _: [])
    page = desk.get(f"/enquiries/{full.pk}/changes/")
    assert page.status_code == 500
    assert "A fault of ours" in words(page)
    assert "Take everything away as it is kept" in words(page)
