"""A name that a document could not show is refused in its field at the desk, before anything is kept or computed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

import programme
from gristwright.basics import Address, Refused
from gristwright.reference.typeface import composed
from gristwright.store.library import lot_records, replace_lot
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import CertificateFile, Customer, EnquiryRow
from gristwright.workbench import jobs
from gristwright.workbench.faults import sentence
from names import REFUSED, SHOWN
from pages import words
from scenario import FOLDER, enquiry, lots
from workbench.test_ages import post, said
from workbench.test_certificates import send
from workbench.test_pages import fields_of
from workbench.test_starting import NAMES, sent

FIELDS = (
    ("question", "title"), ("question", "customer"), ("question", "question"), ("question", "adviser"),
    ("house", "name"), ("cask", "kind-wood"), ("cask", "kind-prior_contents"), ("offer", "today-present_name"),
    ("offer", "groups-0-name"),
)  # fmt: skip


def keep(desk: Client, asked: EnquiryRow, part: str, field: str, text: str) -> Any:
    address = f"/enquiries/{asked.pk}/{part}/"
    return desk.post(address, {**fields_of(desk.get(address)), field: text})


@pytest.mark.parametrize("text", SHOWN.values(), ids=SHOWN)
@pytest.mark.parametrize(("part", "field"), FIELDS)
def test_a_name_that_can_be_shown_is_kept(desk: Client, asked: EnquiryRow, part: str, field: str, text: str) -> None:
    assert keep(desk, asked, part, field, text).status_code == 302
    assert repr(composed(text)) in repr(enquiry_record(EnquiryRow.objects.get()))


@pytest.mark.parametrize(("text", "told"), REFUSED.values(), ids=REFUSED)
@pytest.mark.parametrize(("part", "field"), FIELDS)
def test_a_name_that_cannot_is_refused_in_its_field(
    desk: Client, asked: EnquiryRow, part: str, field: str, text: str, told: str
) -> None:
    answer = keep(desk, asked, part, field, text)
    assert answer.status_code == 422
    form = {"today": "today", "groups": "groups"}.get(field.partition("-")[0], "form")
    found = answer.context[form]
    errors = found.forms[0].errors if form == "groups" else found.errors
    ((name, sentences),) = errors.items()
    assert field.endswith(name)
    assert sentences[0].startswith(f"It holds {told}")
    assert len(sentences) == 1
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()


def test_a_question_keeps_its_lines(desk: Client, asked: EnquiryRow) -> None:
    assert keep(desk, asked, "question", "question", "One\r\n\ttwo").status_code == 302
    assert enquiry_record(EnquiryRow.objects.get()).question == "One\r\n\ttwo"


@pytest.mark.parametrize(("text", "told"), REFUSED.values(), ids=REFUSED)
def test_no_enquiry_is_started_under_such_a_title_or_from_such_files(desk: Client, text: str, told: str) -> None:
    answer = desk.post("/enquiries/start/", {"way": "empty", "title": text})
    assert answer.status_code == 422
    assert f"holds {told}" in answer.content.decode()
    lots = (FOLDER / "lots.csv").read_text(encoding="utf-8").replace("Invented Maltings", "麦芽厂").encode()
    answer = desk.post("/enquiries/start/", {"way": "files", "files": sent(*NAMES, lots=lots)})
    assert "lots.csv, row 2, column 3: holds 麦" in answer.content.decode()
    assert not EnquiryRow.objects.exists()


def test_a_cell_of_a_certificate_is_refused_mended_and_taken_over(desk: Client, asked: EnquiryRow) -> None:
    content = (FOLDER / "lots.csv").read_text(encoding="utf-8").replace("24-0711", "二四-0711").encode()
    page = send(desk, asked, "lots.csv", content)
    (fault,) = page.context["sheet"].faults
    assert fault.problem.sentence().startswith("lots.csv, row 2, column 4: holds 二 (U+4E8C")
    file = CertificateFile.objects.get()
    address = f"/enquiries/{asked.pk}/certificates/{file.pk}/"
    assert desk.post(f"{address}take/").status_code == 422
    desk.post(f"{address}mend/", {f"cell.{fault.place.key}": "24-0711"})
    here = {f"how.{lot.lot_id}": f"replace {lot.lot_id}" for lot in lots()}
    assert desk.post(f"{address}take/", here).status_code == 302
    assert [lot.lot_number for lot in lot_records(asked)] == [lot.lot_number for lot in lots()]


def test_a_certificate_file_is_refused_for_its_name(desk: Client, asked: EnquiryRow) -> None:
    page = send(desk, asked, "麦.csv", (FOLDER / "lots.csv").read_bytes())
    assert "麦.csv: the name holds 麦 (U+9EA6" in page.content.decode()
    assert not CertificateFile.objects.exists()


@pytest.mark.parametrize("field", ["count", "claims", "grists"])
def test_a_claim_is_refused_in_its_field(desk: Client, asked: EnquiryRow, field: str) -> None:
    answer = post(desk, asked, "claim", said(**{field: "麦"}))
    assert answer.status_code == 422
    assert answer.context["asked"].errors[field][0].startswith("It holds 麦 (U+9EA6")


def test_casks_of_known_age_are_refused_with_their_file(desk: Client, asked: EnquiryRow) -> None:
    text = (programme.FOLDER / "arms.csv").read_text(encoding="utf-8").replace("\nA,", "\n麦,")
    answer = post(desk, asked, "claim", said(arms=SimpleUploadedFile("arms.csv", text.encode())))
    assert answer.status_code == 422
    assert "arms.csv, row 3, column 1: holds 麦" in answer.content.decode()


def test_what_was_kept_before_names_were_looked_at_is_told_before_anything_is_computed(
    desk: Client, asked: EnquiryRow, owner: Any
) -> None:
    EnquiryRow.objects.update(customer=Customer.objects.create(name="酒厂"))
    asked.groups.update(name="麦")
    first = lot_records(asked)[0]
    replace_lot(asked, "PD-1", replace(first, supplier="麦芽厂", where=Address("lots.xlsx", "数据", 2)))
    with pytest.raises(Refused) as refused:
        jobs.ask(EnquiryRow.objects.get(), 256, owner)
    told = [sentence(problem).split(" (")[0] for problem in refused.value.problems]
    assert [text.partition(":")[0] for text in told] == ["question, customer", "group 麦, name", "lot PD-1, supplier"]
    assert "question, customer: holds 酒" in words(desk.get(f"/enquiries/{asked.pk}/"))
