"""What is told of a wash, at the desk: kept with the house, told with a bill and in an answer."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from gristwright.store.frozen import inputs_text
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record
from gristwright.store.models import Answer, EnquiryRow
from gristwright.workbench import jobs
from scenario import enquiry, lots
from versions import plant
from workbench.test_house import faults, keep

PEAK, SET_HOT = "a washback with 10\u202f000 L peaks at", "Set at 32 °C"
HOT = {"washbacks-set_degC": "32", "washbacks-cooling": "none"}
SCRIPT = {"HX-Request": "true"}


def tried(desk: Client, asked: EnquiryRow) -> str:
    return desk.get(f"/enquiries/{asked.pk}/").content.decode()


def test_cooling_is_kept_with_the_house_and_may_be_left_unsaid(desk: Client, asked: EnquiryRow) -> None:
    assert enquiry_record(asked).plant.washbacks.cooling == ""
    assert keep(desk, asked, **{"washbacks-cooling": "coil"}).status_code == 302
    assert enquiry_record(EnquiryRow.objects.get()).plant.washbacks.cooling == "coil"
    assert keep(desk, asked, **{"washbacks-cooling": ""}).status_code == 302
    assert enquiry_record(EnquiryRow.objects.get()) == enquiry()
    assert "washbacks-cooling" in faults(keep(desk, asked, **{"washbacks-cooling": "ice"}))


def test_the_bill_page_says_it_and_cautions_for_this_house_alone(desk: Client, asked: EnquiryRow) -> None:
    usual = tried(desk, asked)
    assert PEAK in usual and "no cooling" in usual
    assert SET_HOT not in usual
    keep(desk, asked, **HOT)
    hot = tried(desk, asked)
    assert SET_HOT in hot and "no cooling" not in hot


@pytest.mark.parametrize(
    "alone",
    [
        {"washbacks-set_degC": "16"},
    ],
)
def test_one_field_of_the_house_alone_takes_the_caution_away(
    desk: Client, asked: EnquiryRow, alone: dict[str, str]
) -> None:
    assert keep(desk, asked, **{**HOT, **alone}).status_code == 302
    text = tried(desk, asked)
    assert PEAK in text
    assert SET_HOT not in text


def test_it_moves_with_the_shares(desk: Client, asked: EnquiryRow) -> None:
    keep(desk, asked, **HOT)
    shares = {"share.CM-120": "10", "rest": "PD-1"}
    part = desk.post(f"/enquiries/{asked.pk}/try/", shares, headers=SCRIPT).content.decode()
    assert SET_HOT in part and "wanted at most" in part


def test_an_answer_says_it(desk: Client, asked: EnquiryRow, owner: Any) -> None:
    keep(desk, asked, **HOT)
    jobs.ask(EnquiryRow.objects.get(), 256, owner)
    claimed = jobs.claim()
    assert claimed is not None
    jobs.run(claimed)
    answer = Answer.objects.get()
    page = desk.get(f"/enquiries/{asked.pk}/answers/{answer.pk}/").content.decode()
    for text in (page, answer.view, answer.shown):
        assert SET_HOT in text


def test_a_house_that_says_nothing_of_cooling_has_the_fingerprint_it_had(asked: EnquiryRow) -> None:
    assert "cooling" not in inputs_text(enquiry_record(asked), lot_records(asked))
    keep_text = inputs_text(enquiry(), lots())
    plant(asked, "washbacks", "cooling", value="none")
    changed = inputs_text(enquiry_record(asked), lot_records(asked))
    assert '"cooling":"none"' in changed
    assert changed != keep_text
