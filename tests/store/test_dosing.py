"""A series of doses goes into the tables and comes out as it was; a desk that was kept before has none."""

from __future__ import annotations

import pytest

from gristwright.store.mapping import enquiry_record, save_enquiry, spirit_record
from scenario import enquiry, lots

pytestmark = pytest.mark.django_db


def test_it_comes_out_as_it_went_in() -> None:
    row = save_enquiry(enquiry("dose.toml"), lots())
    assert enquiry_record(row).dose == enquiry("dose.toml").dose
    assert spirit_record(row).dose is None


def test_without_one_there_is_none() -> None:
    assert enquiry_record(save_enquiry(enquiry(), lots())).dose is None
