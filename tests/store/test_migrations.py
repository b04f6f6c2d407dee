"""A desk that was kept by an earlier release opens, with everything that was in it."""

from __future__ import annotations

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import Enquiry
from scenario import enquiry, lots


@pytest.mark.django_db(transaction=True)
def test_a_house_kept_before_its_cooling_was_asked_opens_as_not_stated() -> None:
    key = save_enquiry(enquiry(), lots()).pk
    MigrationExecutor(connection).migrate([("store", "0004_mash")])
    columns = {
        column.name for column in connection.introspection.get_table_description(connection.cursor(), "store_house")
    }
    assert "washback_cooling" not in columns
    MigrationExecutor(connection).migrate([("store", "0005_cooling")])
    row = Enquiry.objects.get(pk=key)
    assert row.house.washback_cooling == ""
    assert enquiry_record(row) == enquiry()
