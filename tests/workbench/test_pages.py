"""Filling in: what is kept, what is refused and how, who changed what."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from django.test import Client

from gristwright.store.mapping import enquiry_record
from gristwright.store.models import BillShare, EnquiryRow
from gristwright.workbench.changes import changes
from gristwright.workbench.views.enquiries import OfferSet
from scenario import enquiry

PAGES = ("", "question/", "house/", "cask/", "age/", "offer/", "certificates/", "answers/", "changes/")


def fields_of(page: Any) -> dict[str, Any]:
    """What a browser would send back of a page left as it is."""
    found: dict[str, Any] = {}
    if page.context.get("met"):
        found |= {"was": page.context["met"].was}
    for name in ("form", "today", "offers", "groups"):
        part = page.context.get(name)
        for form in getattr(part, "forms", [part] if part is not None else []):
            found |= {bound.html_name: _sent(bound) for bound in form if _sent(bound) is not None}
        if hasattr(part, "management_form"):
            found |= {bound.html_name: bound.value() for bound in part.management_form if bound.value() is not None}
    return found


def _sent(bound: Any) -> Any:
    value = bound.value()
    if bound.field.widget.__class__.__name__ == "CheckboxSelectMultiple":
        return value or None
    if value is False or value is None:
        return None if bound.field.widget.__class__.__name__ == "CheckboxInput" else ""
    return {True: "on"}.get(value, value) if isinstance(value, bool) else value


@pytest.mark.parametrize("name", PAGES)
def test_every_page_opens(desk: Client, asked: EnquiryRow, name: str) -> None:
    answer = desk.get(f"/enquiries/{asked.pk}/{name}")
    assert answer.status_code == 200
    assert "Caramel malt in an all-malt whisky" in answer.content.decode()


@pytest.mark.parametrize("name", ["question", "house", "cask", "offer"])
def test_a_page_sent_back_as_it_is_changes_nothing(desk: Client, asked: EnquiryRow, name: str) -> None:
    address = f"/enquiries/{asked.pk}/{name}/"
    before = len(changes(asked))
    assert desk.post(address, fields_of(desk.get(address))).status_code == 302
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()
    assert len(changes(asked)) == before


def test_a_decimal_comma_is_understood_and_the_change_is_told(desk: Client, asked: EnquiryRow) -> None:
    address = f"/enquiries/{asked.pk}/house/"
    desk.post(address, {**fields_of(desk.get(address)), "mash-settled_mash_degC": "64,5"})
    assert enquiry_record(EnquiryRow.objects.get()).plant.mash.settled_mash_degC == 64.5
    last = changes(asked)[0]
    assert (last.who, last.what, last.old, last.new) == ("A.Example", "The house: Settled mash", "64", "64.5")


def test_a_number_outside_its_limits_is_refused_with_the_way_out(desk: Client, asked: EnquiryRow) -> None:
    address = f"/enquiries/{asked.pk}/house/"
    answer = desk.post(address, {**fields_of(desk.get(address)), "mash-settled_mash_degC": "164"})
    assert answer.status_code == 422
    assert "164 °C is outside 40 to 78 °C. Correct it or check the unit." in answer.content.decode()
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()


def test_offers_and_todays_bill_are_changed_together(desk: Client, asked: EnquiryRow) -> None:
    address = f"/enquiries/{asked.pk}/offer/"
    sent = {
        **fields_of(desk.get(address)),
        "offers-0-today": "92.5",
        "offers-2-today": "7,5",
        "offers-2-price_per_t": "701",
    }
    assert desk.post(address, sent).status_code == 302
    record = enquiry_record(EnquiryRow.objects.get())
    assert {s.lot_id: s.parts for s in record.present.shares} == {"PD-1": 9250, "CM-120": 750}
    assert record.offered[2].price_per_t == 701.0


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("offers-0-least_parts", "101", "101 % is outside 0 to 100 %"),
        ("offers-0-least_parts", "5.555", "is finer than 0.01 %"),
        ("offers-1-least_parts", "60", "At least 60 % is above at most 50 %"),
        ("offers-0-price_per_t", "many", "many"),
    ],
)
def test_a_faulty_offer_is_refused_whole(desk: Client, asked: EnquiryRow, field: str, text: str, said: str) -> None:
    address = f"/enquiries/{asked.pk}/offer/"
    answer = desk.post(address, {**fields_of(desk.get(address)), field: text, "offers-2-price_per_t": "1"})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()


def test_a_lot_taken_off_the_list_leaves_todays_bill_too(desk: Client, asked: EnquiryRow) -> None:
    address = f"/enquiries/{asked.pk}/offer/"
    desk.post(address, {**fields_of(desk.get(address)), "offers-0-DELETE": "on"})
    assert not BillShare.objects.filter(named__name="PD-1").exists()
    assert OfferSet(instance=asked, prefix="offers").total_form_count() == 3


def test_a_text_that_looks_like_a_page_is_shown_as_text(desk: Client, asked: EnquiryRow) -> None:
    EnquiryRow.objects.update(title="<script>alert(1)</script>")
    assert "<script>alert(1)" not in desk.get(f"/enquiries/{asked.pk}/").content.decode()


def test_trying_is_no_change_of_the_enquiry(desk: Client, asked: EnquiryRow) -> None:
    before = len(changes(asked))
    desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": "10", "rest": "PD-1"})
    assert dataclasses.asdict(enquiry_record(EnquiryRow.objects.get())) == dataclasses.asdict(enquiry())
    assert len(changes(asked)) == before
