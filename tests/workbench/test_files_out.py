"""An enquiry taken away as files and sent back is the same enquiry; a hostile ZIP is refused in a sentence."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from casework.full import claiming, column_enquiry
from files.test_jobs_out import HOUSES
from gristwright.files.jobs_out import known
from gristwright.store.frozen import inputs_text
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import EnquiryRow
from pages import words
from scenario import lots


def taken(desk: Client, row: EnquiryRow) -> bytes:
    answer = desk.get(f"/enquiries/{row.pk}/files.zip")
    assert answer.status_code == 200, words(answer)
    assert answer["Content-Type"] == "application/zip"
    return answer.content


def send(desk: Client, **files: bytes) -> Any:
    sent = [SimpleUploadedFile(name.replace("__", "."), content) for name, content in files.items()]
    return desk.post("/enquiries/start/", {"way": "files", "files": sent})


def started(desk: Client, archive: bytes) -> EnquiryRow:
    before = set(EnquiryRow.objects.values_list("pk", flat=True))
    answer = send(desk, enquiry__zip=archive)
    assert answer.status_code == 302, words(answer)
    return EnquiryRow.objects.exclude(pk__in=before).get()


@pytest.mark.parametrize("name", HOUSES)
def test_what_was_taken_away_comes_back_as_the_same_enquiry(desk: Client, name: str) -> None:
    given = lots() if HOUSES[name].offered[0].lot_id == "PD-1" else ()
    row = save_enquiry(HOUSES[name], given)
    again = started(desk, taken(desk, row))
    assert enquiry_record(again) == enquiry_record(row)
    assert [known(lot) for lot in lot_records(again)] == [known(lot) for lot in lot_records(row)]
    assert [lot.certificate for lot in lot_records(again)] == [lot.certificate for lot in lot_records(row)]


def test_the_inputs_of_an_answer_are_the_same_to_the_letter(desk: Client, asked: EnquiryRow) -> None:
    again = started(desk, taken(desk, asked))
    texts = [inputs_text(enquiry_record(row), lot_records(row)) for row in (asked, again)]
    assert texts[0] == texts[1]


def test_each_file_is_there_alone_and_they_can_be_sent_together(desk: Client) -> None:
    row = save_enquiry(claiming(), lots())
    page = desk.get(f"/enquiries/{row.pk}/files/").content.decode()
    names = zipfile.ZipFile(io.BytesIO(taken(desk, row))).namelist()
    assert names == ["enquiry.toml", "plant.toml", "bill.toml", "lots.csv", "ladder.csv", "arms.csv"]
    files = {name: desk.get(f"/enquiries/{row.pk}/files/{name}").content for name in names}
    assert all(f"files/{name}" in page for name in names)
    assert send(desk, **{name.replace(".", "__"): content for name, content in files.items()}).status_code == 302
    assert enquiry_record(EnquiryRow.objects.exclude(pk=row.pk).get()).claim == claiming().claim
    assert desk.get(f"/enquiries/{row.pk}/files/secret.toml").status_code == 404


def test_what_is_missing_is_said_with_its_place(desk: Client, asked: EnquiryRow) -> None:
    EnquiryRow.objects.filter(pk=asked.pk).update(customer=None, currency="")
    answer = desk.get(f"/enquiries/{asked.pk}/files.zip")
    assert answer.status_code == 422
    assert "question, currency: is missing. Fill it in under Question." in words(answer)
    assert f'href="/enquiries/{asked.pk}/question/#id_currency"' in answer.content.decode()
    EnquiryRow.objects.filter(pk=asked.pk).update(currency="EUR")
    assert "question, customer" in words(desk.get(f"/enquiries/{asked.pk}/files/"))


def packed(*names: str, content: bytes = b"x", **how: Any) -> bytes:
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", **{"compression": zipfile.ZIP_DEFLATED, **how}) as archive:
        for name in names:
            archive.writestr(zipfile.ZipInfo(name), content, how.get("compression", zipfile.ZIP_DEFLATED))
    return written.getvalue()


def locked() -> bytes:
    raw = bytearray(packed("enquiry.toml"))
    for mark in (b"PK\x03\x04", b"PK\x01\x02"):
        raw[raw.index(mark) + (6 if mark[2] == 3 else 8)] |= 1
    return bytes(raw)


def lying() -> bytes:
    """A file that says it is small and goes on for more."""
    raw = bytearray(packed("enquiry.toml", content=b"\0" * 5_000_000))
    at = raw.index(b"PK\x01\x02")
    raw[at + 24 : at + 28] = (10).to_bytes(4, "little")
    return bytes(raw)


@pytest.mark.parametrize(
    ("archive", "said"),
    [
        (b"PK\x03\x04 and no more", "is damaged or not a ZIP"),
        (b"", "is damaged or not a ZIP"),
        (packed(), "holds no file"),
        (packed("a/enquiry.toml", "b/enquiry.toml"), "holds two files called 'enquiry.toml'"),
        (packed("../.."), "holds a file by the name '..'"),
        (packed("bell\x07.toml"), "holds a file by the name"),
        (packed("x" * 300), "holds a file by the name"),
        (packed("inner.zip"), "holds another ZIP"),
        (packed(*(f"{n}.csv" for n in range(60))), "holds 60 files"),
        (packed("enquiry.toml", content=b"\0" * 2_000_001), "larger than 2 MB"),
        (packed(*(f"{n}.csv" for n in range(11)), content=b"\0" * 1_999_999), "unpacks to more than 20 MB"),
        (packed("enquiry.toml", compression=zipfile.ZIP_LZMA), "in a way that is not read here"),
        (locked(), "is protected by a password"),
        (lying(), "is damaged or not a ZIP"),
    ],
)
def test_a_hostile_zip_is_refused_in_a_sentence(desk: Client, archive: bytes, said: str) -> None:
    answer = send(desk, sent__zip=archive)
    assert answer.status_code == 422
    assert said in words(answer)
    assert not EnquiryRow.objects.exists()


def test_a_folder_packed_with_what_a_system_puts_beside_it_is_read(desk: Client, asked: EnquiryRow) -> None:
    source = zipfile.ZipFile(io.BytesIO(taken(desk, asked)))
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as archive:
        archive.mkdir("enquiry")
        archive.writestr("__MACOSX/enquiry/._bill.toml", b"\0")
        archive.writestr("enquiry/.DS_Store", b"\0")
        for name in source.namelist():
            archive.writestr(f"enquiry/{name}", source.read(name))
    assert enquiry_record(started(desk, written.getvalue())) == enquiry_record(asked)


def test_a_file_beside_the_zip_that_holds_it_is_told(desk: Client, asked: EnquiryRow) -> None:
    answer = send(desk, bill__toml=b"x", all__zip=taken(desk, asked))
    assert "bill.toml: was sent twice, once in a ZIP." in words(answer)


def test_another_house_goes_there_and_back(desk: Client) -> None:
    row = save_enquiry(column_enquiry(), ())
    assert enquiry_record(started(desk, taken(desk, row))) == column_enquiry()
