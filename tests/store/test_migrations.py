"""A desk that was kept by an earlier release opens, with everything that was in it."""

from __future__ import annotations

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from gristwright.store.mapping import enquiry_record, lot_records, save_enquiry
from gristwright.store.models import EnquiryRow
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
    row = EnquiryRow.objects.get(pk=key)
    assert row.house.washback_cooling == ""
    assert enquiry_record(row) == enquiry()


@pytest.mark.django_db(transaction=True)
def test_rows_kept_under_their_former_names_are_found_with_their_history() -> None:
    row = save_enquiry(enquiry(), lots())
    row.title = "asked again"
    row.save()
    key, before = row.pk, set(connection.introspection.table_names())
    MigrationExecutor(connection).migrate([("store", "0006_lots_added")])
    assert set(connection.introspection.table_names()) == before
    MigrationExecutor(connection).migrate([("store", "0007_rows_named")])
    assert set(connection.introspection.table_names()) == before
    again = EnquiryRow.objects.get(pk=key)
    assert [one.title for one in again.history.all()] == ["asked again", enquiry().title]
    assert lot_records(again) == lots()
