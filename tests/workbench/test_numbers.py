"""Numbers as people write them: with a decimal comma or point in every field, and never read as ten times as much."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django import forms
from django.test import Client

from gristwright.store.mapping import enquiry_record
from gristwright.store.models import EnquiryRow
from gristwright.workbench.age_forms import ReleaseForm
from gristwright.workbench.cask_form import CaskForm
from gristwright.workbench.fields import NumberField, Pct, Whole
from gristwright.workbench.forms import GroupForm, OfferForm, QuestionForm, TodayForm
from gristwright.workbench.house_form import HouseForm
from gristwright.workbench.record_form import RecordForm
from pages import words
from scenario import enquiry
from workbench.test_pages import PAGES, fields_of

FORMS = (QuestionForm, HouseForm, CaskForm, ReleaseForm, TodayForm, OfferForm, GroupForm)
INPUT = re.compile(r"<input\b[^>]*>")


def fields_in(form: Any) -> dict[str, forms.Field]:
    """The fields of a form; one over a document has those that its record says."""
    return dict(form(document={}).fields if issubclass(form, RecordForm) else form.base_fields)


def number_fields() -> list[tuple[str, forms.Field]]:
    """Every field of every form that takes a number."""
    kinds = (forms.IntegerField, forms.FloatField)
    return [
        (f"{form.__name__}.{name}", field)
        for form in FORMS
        for name, field in fields_in(form).items()
        if isinstance(field, kinds)
    ]


def test_every_number_field_is_one_of_ours() -> None:
    assert len(number_fields()) > 70
    assert [name for name, field in number_fields() if not isinstance(field, NumberField)] == []


@pytest.mark.parametrize(("name", "field"), number_fields(), ids=lambda part: part if isinstance(part, str) else "")
def test_a_comma_is_read_as_a_point_is(name: str, field: Any) -> None:
    if isinstance(field, Whole):
        with pytest.raises(forms.ValidationError, match=re.escape("7.5 is no whole number. Write 7 or 8.")):
            field.to_python("7,5")
        assert field.to_python("7,0") == 7
    else:
        assert field.to_python("7,5") == field.to_python("7.5") == (750 if isinstance(field, Pct) else 7.5)


@pytest.mark.parametrize(("name", "field"), number_fields(), ids=lambda part: part if isinstance(part, str) else "")
@pytest.mark.parametrize("text", ["1.234,5", "1,234.5"])
def test_point_and_comma_together_are_refused_with_what_is_accepted(name: str, field: Any, text: str) -> None:
    with pytest.raises(forms.ValidationError) as told:
        field.to_python(text)
    assert told.value.messages == [
        f"“{text}” has both a point and a comma. Write one of them, before the decimals alone: 1234.5 or 1234,5."
    ]


@pytest.mark.parametrize("name", [*PAGES, "nothing/"])
def test_no_page_leaves_the_reading_of_a_number_to_the_browser(desk: Client, asked: EnquiryRow, name: str) -> None:
    page = desk.get(f"/enquiries/{asked.pk}/{name}") if name != "nothing/" else desk.get("/")
    inputs = INPUT.findall(page.content.decode())
    assert [found for found in inputs if 'type="number"' in found] == []
    numbers = [found for found in inputs if "number" in found and "MAX_NUM" not in found and "hidden" not in found]
    assert [found for found in numbers if 'inputmode="decimal"' not in found] == []
    assert bool(numbers) == (name in ("", "question/", "house/", "cask/", "age/", "offer/"))


def test_a_share_with_a_comma_is_tried_as_it_is_meant(desk: Client, asked: EnquiryRow) -> None:
    page = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": "7,5", "rest": "PD-1"}, follow=True)
    assert "92.5 % PD-1 + 7.5 % CM-120" in page.content.decode()


def test_a_share_with_point_and_comma_is_refused_beside_its_lot(desk: Client, asked: EnquiryRow) -> None:
    page = desk.post(f"/enquiries/{asked.pk}/try/", {"share.CM-120": "1.234,5", "rest": "PD-1"})
    assert page.status_code == 422
    assert "CM-120: “1.234,5” has both a point and a comma." in words(page)
    assert EnquiryRow.objects.get().tried == {}


@pytest.mark.parametrize("text", ["1,060", "1.060"])
def test_three_decimals_are_read_where_thousands_cannot_be(desk: Client, asked: EnquiryRow, text: str) -> None:
    address = f"/enquiries/{asked.pk}/question/"
    assert desk.post(address, {**fields_of(desk.get(address)), "most_original_gravity_sg": text}).status_code == 302
    assert enquiry_record(EnquiryRow.objects.get()).limits.most_original_gravity_sg == 1.06


@pytest.mark.parametrize("text", ["12,000", "12.000"])
def test_what_may_be_a_thousand_or_decimals_is_refused_with_both(desk: Client, asked: EnquiryRow, text: str) -> None:
    address = f"/enquiries/{asked.pk}/house/"
    answer = desk.post(address, {**fields_of(desk.get(address)), "tonnes_per_year": text})
    assert answer.status_code == 422
    (told,) = answer.context["form"].errors["tonnes_per_year"]
    assert told == f"“{text}” may be 12 or 12000. Write 12 or 12000."
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()


def test_a_number_that_could_be_misread_is_shown_so_that_it_cannot(desk: Client, asked: EnquiryRow) -> None:
    address = f"/enquiries/{asked.pk}/house/"
    desk.post(address, {**fields_of(desk.get(address)), "tonnes_per_year": "12,1250"})
    page = desk.get(address)
    assert 'value="12.1250"' in page.content.decode()
    kept = desk.post(address, fields_of(page), follow=True).content.decode()
    assert "Nothing was changed." in kept
    assert enquiry_record(EnquiryRow.objects.get()).plant.tonnes_per_year == 12.125
