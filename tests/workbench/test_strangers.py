"""What somebody tries who wants to catch the desk out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from fuzz.pages_crawled import read_page
from gristwright.store.models import EnquiryRow
from gristwright.workbench.way_back import page_above

STATIC = Path(__file__).parents[2] / "src/gristwright/workbench/static/desk"
# An address that takes forms only, and the page of the same enquiry it leads to.
SENT_ONLY = [
    ("find", "answers"), ("send_file", "certificates"), ("map", "bill"), ("try", "bill"), ("keep_release", "age"),
    ("take_newest", "house"), ("copy", "bill"), ("archive", "bill"), ("bin", "bill"),
    ("ask_bill", "bill"), ("take_bill_out", "bill"),
]  # fmt: skip


@pytest.mark.parametrize(("sent", "shown"), SENT_ONLY)
def test_an_address_that_takes_forms_only_leads_to_its_page_when_it_is_loaded_again(
    desk: Client, asked: EnquiryRow, sent: str, shown: str
) -> None:
    led = desk.get(reverse(sent, args=[asked.pk]), follow=True)
    assert (led.status_code, led.redirect_chain[-1][0]) == (200, reverse(shown, args=[asked.pk]))


def test_what_no_page_stands_above_leads_to_the_enquiries() -> None:
    assert page_above("/theme/") == page_above("/enquiries/start/") == "/"


def test_an_enquiry_that_is_gone_is_told_on_a_page_with_a_way_on(desk: Client) -> None:
    gone = desk.get("/enquiries/00000000-0000-0000-0000-000000000000/")
    assert gone.status_code == 404
    assert "was deleted" in gone.content.decode()
    assert f'href="{reverse("enquiries")}"' in gone.content.decode()


def test_units_and_woods_are_said_in_words(desk: Client, asked: EnquiryRow) -> None:
    typed = desk.get(reverse("type_lot", args=[asked.pk])).content.decode()
    shown = re.findall(r"<option[^>]*>([^<]*)</option>", typed)
    assert "IoB colour" in shown
    assert "L°/kg" in shown
    assert not [text for text in shown if "_" in text]
    assert ".csv" not in desk.get(reverse("cask", args=[asked.pk])).content.decode().split("<main", 1)[1]


def test_lines_of_boards_and_lines_typed_in_are_laid_out_apart() -> None:
    """One name for both once drew the verdicts over each other on a wide screen."""
    rules = re.findall(r"^\.line \{ display: grid", (STATIC / "desk.css").read_text(), re.MULTILINE)
    assert len(rules) == 1


def test_somebody_who_types_a_wrong_password_is_told_in_the_words_of_the_desk(desk: Client) -> None:
    desk.logout()
    said = desk.post(reverse("enter"), {"username": "A.Example", "password": "oats-and-sand-8"}).content.decode()
    assert "Name and password do not go together." in said
    assert "case-sensitive" not in said


@pytest.mark.parametrize("sent", [{"offers-TOTAL_FORMS": "5"}, {"offers-0-id": ""}])
def test_a_line_on_offer_that_says_no_lot_makes_none(desk: Client, asked: EnquiryRow, sent: dict[str, str]) -> None:
    page = reverse("offer", args=[asked.pk])
    form = next(one for one in read_page(page, desk.get(page))[1] if one.action == page)
    fields = {control.name: control.value for control in form.controls if control.sent}
    assert "offers-0-id" in fields
    before = asked.offered.count()
    assert desk.post(page, {**fields, **sent}).status_code in (302, 422)
    assert asked.offered.count() == before


def test_a_way_back_that_is_no_address_leads_to_the_enquiries(desk: Client) -> None:
    led = desk.post(reverse("theme"), {"theme": "dark", "back": "nowhere"})
    assert (led.status_code, led.headers["Location"]) == (302, reverse("enquiries"))
