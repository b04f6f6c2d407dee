"""A certificate file adds its lots; of a lot that is here already the desk asks, and nothing goes silently."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import CertificateFile, EnquiryRow
from gristwright.workbench import jobs
from gristwright.workbench.changes import changes
from pages import words
from scenario import enquiry, lots
from workbench.test_certificates import send

HEAD = "lot,material,supplier,lot number,crop,moisture [%],extract fine dry [%],diastatic power [degWK]\n"
NEW = f"{HEAD}N-1,pale_distilling_malt,Other Maltings,77,2025,4.5,81.0,255\n".encode()
# PD-1 of the example again, with another moisture and under another name.
AGAIN = f"{HEAD}Spring,pale_distilling_malt,invented  maltings,24-0711,2025,5.1,81.6,262\n".encode()
NAMESAKE = f"{HEAD}PD-1,pale_distilling_malt,Other Maltings,9,2025,4.0,82.0,240\n".encode()
SILENT = b"lot,material,moisture [%],extract fine dry [%]\nPD-1,pale_distilling_malt,4.1,82.1\n"


def take(desk: Client, asked: EnquiryRow, name: str, content: bytes, **said: str) -> Any:
    send(desk, asked, name, content)
    file = CertificateFile.objects.get(name=name)
    data = {key.replace("__", "."): text for key, text in said.items()}
    return desk.post(f"/enquiries/{asked.pk}/certificates/{file.pk}/take/", data, follow=True)


def page_of(desk: Client, asked: EnquiryRow, name: str) -> str:
    file = CertificateFile.objects.get(name=name)
    return desk.get(f"/enquiries/{asked.pk}/certificates/{file.pk}/").content.decode()


def here(asked: EnquiryRow) -> dict[str, float]:
    """Every lot of the enquiry with its moisture."""
    return {lot.lot_id: lot.analyses[0].value for lot in lot_records(asked)}


BEFORE = {lot.lot_id: lot.analyses[0].value for lot in lots()}


def test_a_second_file_adds_its_lots_to_those_of_the_first(desk: Client, asked: EnquiryRow) -> None:
    page = take(desk, asked, "new.csv", NEW)
    assert "1 lot added from new.csv: N-1." in page.content.decode()
    assert take(desk, asked, "more.csv", NEW.replace(b"N-1", b"N-2").replace(b",77,", b",78,")).status_code == 200
    assert lot_records(asked)[: len(lots())] == lots()
    assert here(asked) == {**BEFORE, "N-1": 4.5, "N-2": 4.5}
    assert list(asked.offered.values_list("named__name", flat=True)) == [
        *(o.lot_id for o in enquiry().offered),
        "N-1",
        "N-2",
    ]


def test_an_answer_names_every_file_its_lots_came_from(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "new.csv", NEW)
    take(desk, asked, "more.csv", NEW.replace(b"N-1", b"N-2").replace(b",77,", b",78,"))
    send(desk, asked, "left.csv", NEW.replace(b"N-1", b"N-3").replace(b",77,", b",79,"))
    assert [name for name, _ in jobs.inputs_of(asked, "")][1:] == ["new.csv", "more.csv"]


def test_the_same_lot_again_is_asked_about_and_nothing_changes_until_it_is_said(
    desk: Client, asked: EnquiryRow
) -> None:
    answer = take(desk, asked, "again.csv", AGAIN)
    assert answer.status_code == 422
    text = words(answer)
    assert "Spring: is here already and nothing was said of it. Replace the one here, or keep both." in text
    assert "Same supplier, lot number and crop as PD-1 here." in text
    assert "Moisture 4.6 % here, 5.1 % in the file" in text
    said = text.split("Replace PD-1")[1].split("Keep both")[0]
    assert "Only here: extract of the 0.7 mm mash as is 77.8 %; fermentability 87.4 %;" in said
    assert "Only in the file: extract of the fine Congress mash on dry basis 81.6 %." in said
    assert "diastatic power" not in said
    assert " checked" not in answer.content.decode()
    assert here(asked) == BEFORE
    assert CertificateFile.objects.get().taken_at is None


def test_a_lot_that_is_replaced_keeps_its_name_and_is_named(desk: Client, asked: EnquiryRow) -> None:
    page = take(desk, asked, "again.csv", AGAIN, how__Spring="replace PD-1")
    assert "PD-1 replaced by Spring of again.csv, which goes by the name PD-1 here." in page.content.decode()
    assert list(here(asked)) == list(BEFORE)
    assert here(asked)["PD-1"] == 5.1
    assert lot_records(asked)[1:] == lots()[1:]
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()
    told = [(change.who, change.what, change.verb, change.new) for change in changes(asked)]
    assert ("A.Example", "Lot PD-1", "replaced", "Spring of again.csv") in told


def test_both_are_kept_under_two_names(desk: Client, asked: EnquiryRow) -> None:
    page = take(desk, asked, "again.csv", AGAIN, how__Spring="both", name__Spring="PD-1 second look")
    assert "PD-1 second look kept beside PD-1" in page.content.decode()
    assert here(asked) == {**BEFORE, "PD-1 second look": 5.1}
    assert lot_records(asked)[-1].lot_number == lots()[0].lot_number
    assert asked.offered.filter(named__name="PD-1 second look", price_per_t=None).exists()


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"how__PD-1": "both", "name__PD-1": "PD-2"}, "PD-1: “PD-2” is the name of another lot here. Give it another"),
        ({"how__PD-1": "both", "name__PD-1": " PD-1 "}, "PD-1: “PD-1” is the name of another lot here."),
        ({"how__PD-1": "both", "name__PD-1": ""}, "PD-1: has no name of its own yet. Give it one"),
        ({"how__PD-1": "both", "name__PD-1": "n" * 81}, "is longer than 80 characters."),
        ({"how__PD-1": "replace PD-2"}, "PD-1: is here already and nothing was said of it."),
        ({"how__PD-1": "drop"}, "PD-1: is here already and nothing was said of it."),
    ],
)
@pytest.mark.parametrize("content", [NAMESAKE, SILENT])
def test_an_answer_that_will_not_do_is_refused_and_kept_on_the_page(
    desk: Client, asked: EnquiryRow, content: bytes, said: dict[str, str], told: str
) -> None:
    answer = take(desk, asked, "lots.csv", content, **said)
    assert answer.status_code == 422
    text = words(answer)
    assert told in text
    assert here(asked) == BEFORE
    if said["how__PD-1"] == "both":
        assert 'value="both" checked' in answer.content.decode()
        assert f'value="{said["name__PD-1"].strip()}"' in answer.content.decode()


def test_another_lot_of_the_same_name_is_told_apart(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "other.csv", NAMESAKE)
    assert "Another lot goes by this name here: Invented Maltings, lot 24-0711, crop 2025." in page_of(
        desk, asked, "other.csv"
    )
    send(desk, asked, "silent.csv", SILENT)
    assert "does not say its supplier and lot number, so it may be the same lot or another." in page_of(
        desk, asked, "silent.csv"
    )


def test_two_lots_of_a_file_cannot_replace_the_same_one(desk: Client, asked: EnquiryRow) -> None:
    both = AGAIN + NAMESAKE.removeprefix(HEAD.encode())
    said = {"how__Spring": "replace PD-1", "how__PD-1": "replace PD-1"}
    answer = take(desk, asked, "both.csv", both, **said)
    assert "PD-1: is replaced by Spring and by PD-1. Keep one of them beside it." in words(answer)
    assert here(asked) == BEFORE
    said |= {"how__PD-1": "both", "name__PD-1": "Spring"}
    page = take(desk, asked, "once-more.csv", both, **said)
    assert page.status_code == 200
    assert here(asked) == {**BEFORE, "PD-1": 5.1, "Spring": 4.0}


def test_the_same_file_again_says_that_nothing_differs(desk: Client, asked: EnquiryRow) -> None:
    take(desk, asked, "new.csv", NEW)
    send(desk, asked, "copy.csv", NEW)
    page = page_of(desk, asked, "copy.csv")
    assert "Every value is the same." in page
    assert '<details class="over"><summary>1 lot of this file, all here already' in page
    send(desk, asked, "other.csv", AGAIN)
    assert "there is nothing to take over" not in page_of(desk, asked, "other.csv")


def test_a_missing_crop_does_not_make_it_another_delivery(desk: Client, asked: EnquiryRow) -> None:
    send(desk, asked, "again.csv", AGAIN.replace(b",2025,", b",,"))
    assert "Same supplier and lot number as PD-1 here; the crop is not said in both." in page_of(
        desk, asked, "again.csv"
    )
    send(desk, asked, "older.csv", AGAIN.replace(b",2025,", b",2023,"))
    assert "is here already" not in page_of(desk, asked, "older.csv")
