"""The cask: nothing is chosen for the user, and capacity and staves go with the kind unless he wrote his own."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from gristwright.records.cask import LaterStay
from gristwright.stages.cask import stores
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import CaskVersion, EnquiryRow
from gristwright.store.versions import newest
from scenario import enquiry
from workbench.test_pages import fields_of


def keep(desk: Client, asked: EnquiryRow, **said: str) -> Any:
    address = f"/enquiries/{asked.pk}/cask/"
    return desk.post(address, {**fields_of(desk.get(address)), **said})


def kept() -> tuple[str, float, float]:
    kind = enquiry_record(EnquiryRow.objects.get()).cask.kind
    return kind.name, kind.capacity_L, kind.wall_mm


def chosen(page: Any, name: str) -> list[str]:
    """The options of a list that are chosen; the first where none is, as a browser has it."""
    options = re.search(rf'<select name="{name}".*?</select>', page.content.decode(), re.DOTALL)
    assert options
    marked = re.findall(r'<option value="([^"]*)" selected', options[0])
    return marked or re.findall(r'<option value="([^"]*)"', options[0])[:1]


@pytest.fixture
def empty(desk: Client) -> EnquiryRow:
    desk.post("/enquiries/start/", {"way": "empty", "title": "bare"})
    return EnquiryRow.objects.get()


def test_no_kind_and_no_store_are_chosen_for_the_user(desk: Client, empty: EnquiryRow) -> None:
    page = desk.get(f"/enquiries/{empty.pk}/cask/")
    assert (chosen(page, "kind-name"), chosen(page, "climate-name")) == ([""], [""])
    answer = keep(desk, empty)
    assert answer.status_code == 422
    errors = answer.context["form"].errors
    assert errors["kind-name"] == ["No kind of cask is chosen. Choose one."]
    assert errors["climate-name"] == ["No store is chosen. Choose one."]
    assert newest(CaskVersion, empty) == {}


def test_without_a_kind_neither_capacity_nor_staves_are_written_in(desk: Client, empty: EnquiryRow) -> None:
    said = fields_of(desk.get(f"/enquiries/{empty.pk}/cask/"))
    assert (said["kind-capacity_L"], said["kind-wall_mm"]) == ("", "")
    store = stores.climate_names()[0]
    assert keep(desk, empty, **{"kind-name": "butt", "climate-name": store}).status_code == 302
    kind = newest(CaskVersion, empty)["kind"]
    assert (kind["capacity_L"], kind["wall_mm"]) == (500.0, 30.0)


def test_an_empty_capacity_is_the_usual_of_the_kind_and_the_page_says_so(desk: Client, empty: EnquiryRow) -> None:
    text = desk.get(f"/enquiries/{empty.pk}/cask/").content.decode()
    assert text.count("Empty: the usual of the kind chosen.") == 2
    assert ">hogshead (250 L, 25 mm)</option>" in text
    assert keep(desk, empty, **{"kind-name": "hogshead", "climate-name": stores.climate_names()[0]}).status_code == 302
    kind = newest(CaskVersion, empty)["kind"]
    assert (kind["name"], kind["capacity_L"], kind["wall_mm"]) == ("hogshead", 250.0, 25.0)


def test_the_capacity_follows_from_kind_to_kind(desk: Client, asked: EnquiryRow) -> None:
    for kind in ("miniature 5 L", "hogshead", "butt", "octave"):
        assert keep(desk, asked, **{"kind-name": kind}).status_code == 302
        usual = stores.kind_named(kind)
        assert kept() == (kind, usual.capacity_L, usual.wall_mm)
    assert enquiry_record(EnquiryRow.objects.get()).cask.climate == enquiry().cask.climate


def test_a_capacity_of_the_users_own_stays_when_the_kind_changes(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, **{"kind-name": "hogshead", "kind-capacity_L": "231,5"})
    assert kept() == ("hogshead", 231.5, 25.0)
    keep(desk, asked, **{"kind-name": "butt"})
    assert kept() == ("butt", 231.5, 30.0)
    keep(desk, asked, **{"kind-wall_mm": "25"})  # the usual one of other casks
    assert kept() == ("butt", 231.5, 25.0)
    keep(desk, asked, **{"kind-wall_mm": ""})
    keep(desk, asked, **{"kind-capacity_L": ""})
    assert kept() == ("butt", 500.0, 30.0)


def test_a_page_sent_back_with_the_usual_capacity_changes_nothing(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, **{"kind-name": "hogshead"})
    answer = keep(desk, asked)
    assert "Nothing was changed." in desk.get(answer.url).content.decode()


def test_a_capacity_that_cannot_be_is_shown_as_it_was_typed(desk: Client, asked: EnquiryRow) -> None:
    answer = keep(desk, asked, **{"kind-name": "hogshead", "kind-capacity_L": "9"})
    assert answer.status_code == 302
    answer = keep(desk, asked, **{"kind-name": "butt", "kind-capacity_L": "90000"})
    assert answer.status_code == 422
    assert 'value="90000"' in answer.content.decode()


def test_casks_behind_the_first_are_kept_shown_again_and_closed_up(desk: Client, asked: EnquiryRow) -> None:
    first = {"stays-1-years": "0.5", "stays-1-wood": "Eiche", "stays-1-capacity_L": "500"}
    told = {"stays-1-new": "false", "stays-1-charred": "true", "one_season": "true"}
    vat = {"stays-2-years": "1", "stays-2-wood": "steel", "stays-2-country": "ES"}
    assert keep(desk, asked, **first, **told).status_code == 302
    assert keep(desk, asked, **told, **vat).status_code == 302
    plan = enquiry_record(EnquiryRow.objects.get()).laid_down
    finish, steel = LaterStay(0.5, "Eiche", 500.0, new=False, charred=True), LaterStay(1.0, "steel", country="ES")
    assert (plan.stays, plan.one_season) == ((finish, steel), True)
    page = desk.get(f"/enquiries/{asked.pk}/cask/").content.decode()
    assert 'name="stays-3-wood"' in page
    assert keep(desk, asked, **dict.fromkeys([*first, *told], "")).status_code == 302
    assert enquiry_record(EnquiryRow.objects.get()).laid_down.stays == (steel,)


def test_a_fault_of_a_cask_behind_the_first_stands_beside_its_field(desk: Client, asked: EnquiryRow) -> None:
    answer = keep(desk, asked, **{"stays-1-years": "500", "stays-1-wood": "oak"})
    assert answer.status_code == 422
    assert "stays-1-years" in answer.context["form"].errors
