"""Starting an enquiry: from the example, from files, empty; and nothing kept of what could not be read."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import EnquiryRow, LotRow
from gristwright.workbench import starting
from pages import words
from scenario import FOLDER, enquiry, lots

NAMES = ("enquiry.toml", "plant.toml", "bill.toml", "lots.csv")


def sent(*names: str, **changed: bytes) -> list[SimpleUploadedFile]:
    return [SimpleUploadedFile(n, changed.get(n.split(".")[0], (FOLDER / n).read_bytes())) for n in names]


def start(desk: Client, files: list[SimpleUploadedFile]) -> str:
    return desk.post("/enquiries/start/", {"way": "files", "files": files}).content.decode()


@pytest.mark.parametrize("name", NAMES)
def test_the_example_of_the_desk_is_the_one_in_examples(name: str) -> None:
    assert (Path(starting.__file__).parent / "example" / name).read_bytes() == (FOLDER / name).read_bytes()


def test_the_example_is_kept_as_the_files_say(desk: Client) -> None:
    desk.post("/enquiries/start/", {"way": "example"})
    row = EnquiryRow.objects.get()
    assert enquiry_record(row) == enquiry()
    assert lot_records(row) == lots()


def test_files_are_kept_as_they_say(desk: Client) -> None:
    start(desk, sent(*NAMES))
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()
    assert LotRow.objects.count() == 4


@pytest.mark.parametrize(
    ("files", "said"),
    [
        (sent("plant.toml", "bill.toml"), "there is no enquiry among them"),
        (sent("enquiry.toml", "bill.toml"), "which was not sent"),
        (sent(*NAMES, plant=b'format = "gristwright.plant/1"\nname = 3'), "is not text"),
        (sent(*NAMES, lots=b"lot,material,moisture [%]\nPD-1,pale_distilling_malt,x\n"), "x"),
        (
            sent("enquiry.toml", enquiry=b'format = "gristwright.enquiry/1"\nplant = "../../secret"'),
            "which was not sent",
        ),
        ([SimpleUploadedFile("enquiry.toml", b"x" * 2_000_001)], "is larger than 2 MB"),
    ],
)
def test_nothing_is_kept_of_files_with_a_fault(desk: Client, files: list[SimpleUploadedFile], said: str) -> None:
    assert said in start(desk, files)
    assert not EnquiryRow.objects.exists()


def in_two(second: bytes) -> list[SimpleUploadedFile]:
    """The example with the last of its lots in a file of its own."""
    head, *rows = (FOLDER / "lots.csv").read_bytes().splitlines(keepends=True)
    files = sent(*NAMES, lots=b"".join((head, *rows[:-1])))
    return [*files, SimpleUploadedFile("more.csv", head + second)]


def test_the_lots_of_every_certificate_file_are_kept(desk: Client) -> None:
    start(desk, in_two((FOLDER / "lots.csv").read_bytes().splitlines()[-1]))
    assert [lot.lot_id for lot in lot_records(EnquiryRow.objects.get())] == [lot.lot_id for lot in lots()]


def test_a_lot_that_stands_in_two_files_is_told(desk: Client) -> None:
    text = start(desk, in_two((FOLDER / "lots.csv").read_bytes().splitlines()[1]))
    assert "more.csv, row 2: lot &#x27;PD-1&#x27; is named again; it stands at lots.csv, row 2 too." in text
    assert not EnquiryRow.objects.exists()


def test_an_empty_enquiry_says_what_is_missing(desk: Client) -> None:
    desk.post("/enquiries/start/", {"way": "empty", "title": "A new one"})
    row = EnquiryRow.objects.get()
    page = words(desk.get(f"/enquiries/{row.pk}/"))
    assert "House: 10 missing (name of the house" in page
    assert "Lots: none yet" in page


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("9" * 5000, "holds a number of 5000 digits"),
        ("[" * 10_000, "more than 20 deep"),
        ("2026-11-30T99:00:00", "plant.toml"),
    ],
)
def test_a_file_that_cannot_be_parsed_is_told_where_it_is_read(desk: Client, value: str, said: str) -> None:
    broken = f'format = "gristwright.plant/2"\nname = {value}\n'.encode()
    assert said in start(desk, sent(*NAMES, plant=broken))
    page = start(desk, sent(*NAMES, enquiry=broken.replace(b"plant", b"enquiry"), lots=b"a,b\n1,2\n"))
    assert said.replace("plant", "enquiry") in page
    assert "lots.csv" not in page
    assert not EnquiryRow.objects.exists()
