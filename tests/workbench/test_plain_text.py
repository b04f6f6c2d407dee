"""What an older desk kept with control characters in it steers no page, and leaves as it is kept."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

import pytest
from django.test import Client

from gristwright.store.models import EnquiryRow, NamedLot
from workbench.test_pages import PAGES, fields_of

STEERING = "a\x1b[31m\u202eb\x07\u200bc"
SPELLED = "a[U+001B][31m[U+202E]b[U+0007][U+200B]c"


@pytest.fixture
def steering(asked: EnquiryRow) -> EnquiryRow:
    EnquiryRow.objects.filter(pk=asked.pk).update(title=STEERING, question=STEERING)
    NamedLot.objects.filter(enquiry=asked, name="PD-1").update(name=STEERING)
    return asked


def unseen(page: Any) -> set[str]:
    """What stands between the tags of a page and is not seen; a field holds what is kept."""
    text = re.sub(r"<textarea.*?</textarea>|<[^>]*>", "", page.content.decode(), flags=re.DOTALL)
    return {c for c in text if unicodedata.category(c) in ("Cc", "Cf") and c not in "\n\t\r"}


@pytest.mark.parametrize("address", ["/", *(f"/enquiries/{{}}/{name}" for name in (*PAGES, "files/", "delete/"))])
def test_no_page_is_steered_by_what_is_kept(desk: Client, steering: EnquiryRow, address: str) -> None:
    shown = desk.get(address.format(steering.pk))
    assert shown.status_code == 200
    assert SPELLED in shown.content.decode()
    assert not unseen(shown)


def test_a_field_holds_what_is_kept_so_that_sending_it_back_changes_nothing(desk: Client, asked: EnquiryRow) -> None:
    NamedLot.objects.filter(enquiry=asked, name="PD-1").update(name=STEERING)
    address = f"/enquiries/{asked.pk}/offer/"
    assert desk.post(address, fields_of(desk.get(address))).status_code == 302
    assert NamedLot.objects.filter(enquiry=asked, name=STEERING).exists()
