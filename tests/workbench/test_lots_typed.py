"""Lots typed in, changed, copied, and taken from another enquiry: refused in the sentences of a certificate file."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from gristwright.basics import Address
from gristwright.records.lot import Lot
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import EnquiryRow, LotStep
from gristwright.workbench.changes import changes
from pages import field, words
from scenario import enquiry, lots
from workbench.test_undo import as_it_was, undo

# A house of rye alone, with raw grain beside it.
RYE = {"name": "Rye 1", "material": "rye_malt", "supplier": "Invented Rye Malting", "lot_number": "R 7", "crop": "2025"}
LINES = (
    ("moisture_pct", "5,2", "%", "", ""),
    ("extract_fine_dry_pct", "86.4", "", "", ""),
    ("diastatic_power", "210", "degWK", "", "Invented method"),
    ("viscosity_mPas", "3,85", "mPas", "", ""),
)


def said(lines: tuple[tuple[str, ...], ...] = LINES, **more: str) -> dict[str, str]:
    data = {**RYE, "lines-TOTAL_FORMS": str(len(lines) + 2), "lines-INITIAL_FORMS": "0", **more}
    for number, line in enumerate(lines):
        names = ("field", "value", "unit", "basis", "method")
        data |= {f"lines-{number}-{name}": text for name, text in zip(names, line, strict=True)}
    return data


def type_in(desk: Client, asked: EnquiryRow, data: dict[str, str]) -> Any:
    return desk.post(f"/enquiries/{asked.pk}/certificates/lot/type/", data, follow=True)


def of_lot(asked: EnquiryRow, name: str, what: str = "") -> str:
    return f"/enquiries/{asked.pk}/certificates/lot/{asked.named.get(name=name).pk}/{what}"


def type_over(desk: Client, asked: EnquiryRow, name: str, data: dict[str, str]) -> Any:
    return desk.post(of_lot(asked, name, "edit/"), data, follow=True)


def last(asked: EnquiryRow) -> Lot:
    return lot_records(asked)[-1]


def test_a_lot_is_typed_in_and_on_offer(desk: Client, asked: EnquiryRow) -> None:
    page = type_in(desk, asked, said())
    assert "1 lot added from the form: Rye 1." in words(page)
    lot = last(asked)
    assert (lot.lot_id, lot.material, lot.supplier, lot.lot_number, lot.crop) == (*tuple(RYE.values())[:4], 2025)
    assert [(a.field, a.value, a.unit, a.basis, a.method) for a in lot.analyses] == [
        ("moisture_pct", 5.2, "%", "", ""),
        ("extract_fine_dry_pct", 86.4, "%", "dry", ""),
        ("diastatic_power", 210.0, "degWK", "", "Invented method"),
        ("viscosity_mPas", 3.85, "mPas", "", ""),
    ]
    assert lot.certificate == ""
    assert len({a.where for a in lot.analyses}) == len(lot.analyses)
    assert asked.offered.filter(named__name="Rye 1").exists()
    assert ("Lot Rye 1", "added") in [(change.what, change.verb) for change in changes(asked)]
    undo(desk, asked)
    assert as_it_was(asked)


@pytest.mark.parametrize(
    ("data", "id_", "told"),
    [
        (said(name=""), "id_name", "It is empty. Give the lot a name."),
        (said(material=""), "id_material", "Nothing is chosen. Choose the type."),
        (said(crop="25"), "id_crop", "'25' is not a year. Give the harvest year, such as 2025."),
        (said(dated="2199-01-01"), "id_dated", "2199-01-01 is still to come."),
        (said((("moisture_pct", "1.234,5", "", "", ""),)), "id_lines-0-value", "has both a point and a comma."),
        (said((("moisture_pct", "", "", "", ""),)), "id_lines-0-value", "It is empty. Write the value"),
        (said((("", "4.5", "", "", ""),)), "id_lines-0-field", "Nothing is chosen. Choose what the value is"),
        (said((("diastatic_power", "210", "", "", ""),)), "id_lines-0-unit", "It has no unit. Choose one of: °WK"),
        (said((("diastatic_power", "210", "%", "", ""),)), "id_lines-0-unit", "Unit '%' does not fit. Use one of: °WK"),
        (said((("moisture_pct", "70", "%", "", ""),)), "id_lines-0-value", "is not possible"),
        (
            said((("moisture_pct", "5.1", "%", "", ""), ("moisture_pct", "5.4", "%", "", ""))),
            "id_lines-1-value",
            "One field has one value; keep the right one.",
        ),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    desk: Client, asked: EnquiryRow, data: dict[str, str], id_: str, told: str
) -> None:
    answer = type_in(desk, asked, data)
    assert answer.status_code == 422
    assert told in words(answer)
    assert f'href="#{id_}"' in answer.content.decode()
    field(answer, id_)
    assert lot_records(asked) == lots()


def test_all_faults_at_once_and_nothing_typed_is_lost(desk: Client, asked: EnquiryRow) -> None:
    answer = type_in(desk, asked, said((*LINES, ("moisture_pct", "x", "", "", "")), crop="old"))
    assert {"#id_crop", "#id_lines-4-value"} <= set(answer.content.decode().split('"'))
    assert 'value="3,85"' in field(answer, "id_lines-3-value")
    assert 'value="Invented method"' in field(answer, "id_lines-2-method")


def test_one_more_line_keeps_what_was_typed_and_checks_nothing(desk: Client, asked: EnquiryRow) -> None:
    answer = type_in(desk, asked, {**said(name=""), "more": "1"})
    assert answer.status_code == 200
    assert 'value="5,2"' in field(answer, "id_lines-0-value")
    assert len(answer.context["typed"].lines.forms) == len(LINES) + 3
    assert 'role="alert"' not in answer.content.decode()
    assert lot_records(asked) == lots()


def test_a_lot_that_is_here_already_is_asked_about(desk: Client, asked: EnquiryRow) -> None:
    first = lots()[0]
    same = said(name="Again", material=first.material, supplier=first.supplier, lot_number=first.lot_number)
    same |= {"lines-1-value": "81.6", "lines-3-value": "1,5"}
    answer = type_in(desk, asked, same)
    assert answer.status_code == 422
    assert "Again: is here already and nothing was said of it." in words(answer)
    assert "Moisture 4.6 % here, 5.2 % in the form" in words(answer)
    page = type_in(desk, asked, {**same, "how.Again": f"replace {first.lot_id}"})
    assert f"{first.lot_id} replaced by Again of the form" in words(page)
    undo(desk, asked)
    assert as_it_was(asked)


def test_a_lot_is_changed_in_the_same_form(desk: Client, asked: EnquiryRow) -> None:
    type_in(desk, asked, said(dated="2026-03-04"))
    page = desk.get(of_lot(asked, "Rye 1", "edit/"))
    assert 'value="2026-03-04"' in field(page, "id_dated")
    assert 'value="3.85"' in field(page, "id_lines-3-value")
    before = last(asked)
    changed = said((*LINES[:1], ("extract_fine_dry_pct", "86,9", "", "", "")), dated="2026-03-04")
    done = words(type_over(desk, asked, "Rye 1", changed))
    assert "Extract of the fine Congress mash on dry basis from 86.4 % to 86.9 %; " in done
    assert "diastatic power from 210 degWK to nothing" in done
    assert [a.value for a in last(asked).analyses] == [5.2, 86.9]
    undo(desk, asked)
    assert last(asked) == before


def test_a_lot_of_a_file_keeps_the_places_of_the_figures_that_stay(desk: Client, asked: EnquiryRow) -> None:
    first = lots()[0]
    sheet = desk.get(of_lot(asked, first.lot_id, "edit/")).context["typed"]
    data = {f"lines-{n}-{k}": str(v) for n, form in enumerate(sheet.lines) for k, v in form.initial.items()}
    head = {k: "" if v is None else str(v) for k, v in sheet.head.initial.items()}
    data |= {"lines-TOTAL_FORMS": str(len(sheet.lines.forms)), "lines-INITIAL_FORMS": "0", **head}
    assert "Nothing was changed." in words(type_over(desk, asked, first.lot_id, data))
    assert lot_records(asked) == lots()
    type_over(desk, asked, first.lot_id, {**data, "lines-0-value": "4,7"})
    now = lot_records(asked)[0]
    assert [a.where for a in now.analyses[1:]] == [a.where for a in first.analyses[1:]]
    assert now.analyses[0].where == Address(path=("typed in", "moisture [%]"))
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()


def test_a_lot_given_another_name_keeps_offer_and_share(desk: Client, asked: EnquiryRow) -> None:
    type_in(desk, asked, said())
    asked.offered.filter(named__name="Rye 1").update(price_per_t=500.0)
    page = words(type_over(desk, asked, "Rye 1", said(name="Rye A")))
    assert "Rye 1 changed, now called Rye A." in page
    assert asked.offered.get(named__name="Rye A").price_per_t == 500.0
    assert "is the name of another lot here" in words(type_over(desk, asked, "Rye A", said(name="PD-1")))
    undo(desk, asked)
    assert last(asked).lot_id == "Rye 1"
    assert asked.offered.get(named__name="Rye 1").price_per_t == 500.0


def test_a_copy_has_everything_but_name_and_number(desk: Client, asked: EnquiryRow) -> None:
    type_in(desk, asked, said())
    address = f"/enquiries/{asked.pk}/certificates/lot/type/"
    page = desk.get(address, {"copy": str(asked.named.get(name="Rye 1").pk)})
    assert 'value="' not in field(page, "id_name") + field(page, "id_lot_number")
    assert 'value="Invented Rye Malting"' in field(page, "id_supplier")
    assert 'value="5.2"' in field(page, "id_lines-0-value")
    assert f'action="{address}"' in page.content.decode()
    assert desk.get(address, {"copy": "Rye 1"}).status_code == 404


def test_a_lot_keeps_its_address_under_another_name(desk: Client, asked: EnquiryRow) -> None:
    type_in(desk, asked, said())
    address = of_lot(asked, "Rye 1")
    assert f'href="{address}"' in desk.get(f"/enquiries/{asked.pk}/certificates/").content.decode()
    type_over(desk, asked, "Rye 1", said(name="Rye A"))
    assert "<h1>Rye A</h1>" in desk.get(address).content.decode()
    other = other_enquiry(asked)
    assert desk.get(address.replace(str(asked.pk), str(other.pk))).status_code == 404


def other_enquiry(asked: EnquiryRow) -> EnquiryRow:
    other = save_enquiry(enquiry(), lots(), asked.owner)
    EnquiryRow.objects.filter(pk=other.pk).update(title="Winter")
    return EnquiryRow.objects.get(pk=other.pk)


def test_lots_of_another_enquiry_are_found_and_taken(desk: Client, asked: EnquiryRow) -> None:
    other = other_enquiry(asked)
    type_in(desk, other, said())
    address = f"/enquiries/{asked.pk}/certificates/elsewhere/"
    assert [one.name for one in desk.get(address, {"find": "rye malt invented"}).context["offered"]] == ["Rye 1"]
    assert "No lot of another enquiry has “nothing”." in words(desk.get(address, {"find": "nothing"}))
    assert "none is chosen" in words(desk.post(address))
    page = desk.post(address, {"lot": [str(other.named.get(name="Rye 1").pk)]}, follow=True)
    assert "1 lot added from “Winter”: Rye 1." in words(page)
    assert last(asked) == last(other)
    first = str(other.named.get(name=lots()[0].lot_id).pk)
    refused = desk.post(address, {"lot": [first]})
    assert refused.status_code == 422
    assert "Every value is the same." in words(refused)
    name = lots()[0].lot_id
    desk.post(address, {"lot": [first], f"how.{name}": "both", f"name.{name}": "Beside"})
    assert last(asked).lot_id == "Beside"
    assert LotStep.objects.filter(enquiry=asked).count() == 2


def test_lots_of_an_enquiry_in_the_bin_are_not_offered(desk: Client, asked: EnquiryRow) -> None:
    other = other_enquiry(asked)
    EnquiryRow.objects.filter(pk=other.pk).update(binned_at=timezone.now())
    assert "The other enquiries of this desk have no lots." in words(
        desk.get(f"/enquiries/{asked.pk}/certificates/elsewhere/")
    )


def test_two_lots_of_one_name_are_not_taken_at_once(desk: Client, asked: EnquiryRow) -> None:
    others = [other_enquiry(asked), other_enquiry(asked)]
    for other in others:
        type_in(desk, other, said())
    chosen = [str(other.named.get(name="Rye 1").pk) for other in others]
    answer = desk.post(f"/enquiries/{asked.pk}/certificates/elsewhere/", {"lot": chosen})
    assert answer.status_code == 422
    assert "“Rye 1” is chosen from two enquiries. Take one of them first, then the other" in words(answer)
    assert lot_records(asked) == lots()
