"""Limits at the door, each in a sentence, and lists page by page."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from gristwright.basics import Problem, at
from gristwright.store.mapping import save_enquiry
from gristwright.store.models import BillShare, CertificateFile, EnquiryRow, NamedLot, OfferedLot, Remembered
from gristwright.workbench import room, typing_in
from gristwright.workbench.changes import changes
from gristwright.workbench.faults import link
from pages import words
from scenario import FOLDER, enquiry, lots
from workbench.test_certificates import CSV, send
from workbench.test_lots_typed import said, type_in
from workbench.test_pages import fields_of
from workbench.test_starting import NAMES, sent


def fill(asked: EnquiryRow, count: int) -> list[NamedLot]:
    """So many lots more, on offer."""
    version = asked.named.exclude(version=None)[0].version
    made = NamedLot.objects.bulk_create(
        [NamedLot(enquiry=asked, name=f"L {n}", place=100 + n, version=version) for n in range(count)]
    )
    OfferedLot.objects.bulk_create(
        [OfferedLot(enquiry=asked, named=one, place=one.place, price_per_t=400) for one in made]
    )
    return made


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("x" * 300 + ".csv", "bytes long; 200 can be kept."),
        ("ü" * 120 + ".csv", "the name is 244 bytes long; 200 can be kept."),
        ("  ", "has no name that a file can have."),
        (".csv", "has no name that a file can have."),
    ],
)
def test_a_file_is_refused_for_a_name_that_no_folder_holds(
    desk: Client, asked: EnquiryRow, name: str, told: str
) -> None:
    body = b'--B\r\nContent-Disposition: form-data; name="file"; filename="%s"\r\n\r\n%s\r\n--B--\r\n'
    page = desk.generic(
        "POST",
        f"/enquiries/{asked.pk}/certificates/send/",
        body % (name.encode(), CSV),
        content_type="multipart/form-data; boundary=B",
    )
    assert page.status_code == 422
    assert told in words(page) or "none was chosen" in words(page)
    assert not CertificateFile.objects.exists()


def test_a_cell_and_a_table_have_a_length(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "a.csv", CSV.replace(b"24B", b"9" * 9_000))
    assert "row 3, column 5: holds 9000 characters; a page has room for 2000. Shorten it." in words(page)
    assert send(desk, asked, "a.csv", CSV.replace(b"24B", b"9" * 140_000)).status_code == 422
    page = send(desk, asked, "b.csv", CSV + b"\nPD-1,pale_distilling_malt,4.6,81.6,262" * room.MOST_ROWS)
    assert f"rows; the desk reads {room.MOST_ROWS}." in words(page)
    assert not CertificateFile.objects.exists()


def test_an_enquiry_has_room_for_so_many_lots(desk: Client, asked: EnquiryRow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "MOST_LOTS", asked.named.count())
    page = type_in(desk, asked, said())
    assert f"has room for {asked.named.count()} lots." in words(page)
    monkeypatch.setattr(room, "MOST_LOTS", 1)
    files = sent(*NAMES, lots=(FOLDER / "lots.csv").read_bytes())
    page = desk.post("/enquiries/start/", {"way": "files", "files": files})
    assert "an enquiry of the desk has room for 1 lots." in words(page)
    assert EnquiryRow.objects.count() == 1


def test_names_in_files_are_as_long_as_the_desk_keeps_them(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "a.csv", CSV.replace(b"PD-9", b"P" * 90).replace(b"24B", b"240"))
    address = page.request["PATH_INFO"]
    taken = desk.post(f"{address}take/", {"how.PD-1": "replace PD-1"})
    assert "has 90 characters; there is room for 80. Shorten it." in words(taken)
    toml = (FOLDER / "enquiry.toml").read_text(encoding="utf-8").replace('title = "', 'title = "' + "x" * 250)
    files = sent(*NAMES, enquiry=toml.encode(), lots=(FOLDER / "lots.csv").read_bytes())
    page = desk.post("/enquiries/start/", {"way": "files", "files": files})
    assert "characters; there is room for 200. Shorten it." in words(page)
    assert EnquiryRow.objects.count() == 1


@pytest.mark.parametrize("text", ["9" * 5000, "1e400", "nan", "inf", "٣", "１２", "1_000", "0x10", "1e", "1e308", "²"])
def test_what_is_no_number_is_refused_in_a_sentence(desk: Client, asked: EnquiryRow, text: str) -> None:
    address = f"/enquiries/{asked.pk}/question/"
    page = desk.post(address, {**fields_of(desk.get(address)), "processing_cost_per_t": text})
    assert page.status_code == 422
    (told,) = page.context["form"].errors["processing_cost_per_t"]
    said = ("is not a number", "is outside 0 to 5000", "is larger than anything that is measured")
    assert any(words in told for words in said)
    assert len(told) < 200
    shares = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": text, "rest": "PD-1"})
    assert shares.status_code == 422


@pytest.mark.parametrize("name", ["offers-TOTAL_FORMS", "groups-TOTAL_FORMS", "offers-0-id", "offers-9" + "9" * 500])
def test_a_count_that_a_form_carries_has_a_limit(desk: Client, asked: EnquiryRow, name: str) -> None:
    address = f"/enquiries/{asked.pk}/offer/"
    assert desk.post(address, {**fields_of(desk.get(address)), name: "9" * 5000}).status_code in (200, 302, 409, 422)
    assert desk.post(f"/enquiries/{asked.pk}/answers/find/", {"draws": "²"}).status_code in (200, 302, 422)


def test_a_long_list_of_offers_is_kept_page_by_page(desk: Client, asked: EnquiryRow) -> None:
    before = asked.offered.count()
    last = fill(asked, 60)[-1]
    address = f"/enquiries/{asked.pk}/offer/?page=2"
    page = desk.get(address)
    forms = page.context["offers"].forms
    assert [len(desk.get(address[:-7]).context["offers"].forms), len(forms)] == [50, before + 10]
    number = next(n for n, form in enumerate(forms) if form.instance.named_id == last.pk)
    sent_back = {**fields_of(page), f"offers-{number}-price_per_t": "512", f"offers-{number}-today": "3"}
    assert desk.post(address, sent_back).status_code == 302
    assert OfferedLot.objects.get(named=last).price_per_t == 512
    assert BillShare.objects.get(named=last).parts == 300
    assert asked.offered.filter(price_per_t=400).count() == 59
    found = link(Problem(at("offered", last.name, "price_per_t"), ""), asked)
    assert found == f"{address}#id_offers-{number}-price_per_t"
    assert link(Problem(at("lot", last.name, "supplier"), ""), asked).endswith(
        f"?lots=2#lot-{last.name.replace(' ', '%20')}"
    )


def test_every_list_that_grows_has_pages_of_fifty(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    fill(asked, 60)
    here = f"/enquiries/{asked.pk}/"
    page = desk.get(f"{here}certificates/?lots=2")
    assert len(page.context["lots"]) == asked.named.count() - 50
    assert "Page 2 of 2" in words(page)
    offer = asked.offered.all()[0]
    for price in range(60):
        offer.price_per_t = 300 + price
        offer.save()
    assert len(changes(asked)) > 60
    assert "Older ones" in words(desk.get(f"{here}changes/"))
    Remembered.objects.bulk_create(
        [Remembered(key=f"k{n}", supplier="S", what="unit", word=f"w{n:02}", means="%", by="A") for n in range(60)]
    )
    assert "Page 2 of 2; 51 to 60 of 60" in words(desk.get(f"{here}certificates/remembered/?page=2"))
    other = save_enquiry(enquiry(), lots(), owner)
    away = f"/enquiries/{other.pk}/certificates/elsewhere/"
    assert "Page 1 of 2" in words(desk.get(away))
    key = next(str(one.key) for one in typing_in.elsewhere(other) if one.name == "L 59")
    assert desk.post(away, {"lot": [key], "how.L 59": "both", "name.L 59": "L 59"}).status_code == 302
    assert other.named.filter(name="L 59").exists()


def test_what_is_remembered_is_text_that_can_be_shown(desk: Client, asked: EnquiryRow) -> None:
    row = Remembered.objects.create(key="k", supplier="S", what="method", word="w", means="old", by="A")
    page = desk.post(f"/enquiries/{asked.pk}/certificates/remembered/", {f"means.{row.pk}": "a\u202eb"}, follow=True)
    assert "U+202E" in words(page)
    assert Remembered.objects.get().means == "old"
