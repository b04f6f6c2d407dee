"""A desk that was kept by an earlier release opens, with everything that was in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from gristwright.basics import Address
from gristwright.store.frozen import inputs_text
from gristwright.store.library import lot_records
from gristwright.store.mapping import enquiry_record, save_enquiry
from gristwright.store.models import EnquiryRow
from gristwright.store.versions import plant_record
from scenario import enquiry, lots

pytestmark = pytest.mark.django_db(transaction=True)


def migrated(*target: str) -> None:
    MigrationExecutor(connection).migrate([("store", name) for name in target])


def newest() -> str:
    graph = MigrationExecutor(connection).loader.graph
    return next(name for app, name in graph.leaf_nodes() if app == "store")


@pytest.fixture(autouse=True)
def at_the_newest() -> Iterator[None]:
    """The tables as they are, whatever a test left."""
    yield
    migrated(newest())


def test_a_house_kept_before_its_cooling_was_asked_opens_as_not_stated() -> None:
    key = save_enquiry(enquiry(), lots()).pk
    migrated("0004_mash")
    columns = {
        column.name for column in connection.introspection.get_table_description(connection.cursor(), "store_house")
    }
    assert "washback_cooling" not in columns
    migrated(newest())
    row = EnquiryRow.objects.get(pk=key)
    assert plant_record(row).washbacks.cooling == ""
    assert enquiry_record(row) == enquiry()


PLACES = (
    "lots.csv, row 2",
    "lots.csv, row 2, diastatic power [degWK]",
    "lots.csv, row 2, column 5",
    "book, 2.xlsx, sheet Lots, cell 7, cell AB12",
    "book.xlsx, sheet Lots, row 4",
    "book.xlsx, sheet Lots, column C",
    "lots.csv, column 3",
    "lots.toml, lot 1, moisture",
    "typed in by hand",
)


def test_places_that_were_kept_as_words_are_addresses_that_read_the_same() -> None:
    key = save_enquiry(enquiry(), lots()).pk
    migrated("0006_lots_added")
    with connection.cursor() as cursor:
        cursor.execute('SELECT "where" FROM store_lot ORDER BY place')
        assert [text for (text,) in cursor.fetchall()] == [lot.where.words for lot in lots()]
        cursor.execute("SELECT id FROM store_analysis ORDER BY id")
        kept = [number for (number,) in cursor.fetchall()][: len(PLACES)]
        for number, words in zip(kept, PLACES, strict=True):
            cursor.execute('UPDATE store_analysis SET "where" = %s WHERE id = %s', [words, number])
    migrated(newest())
    found = lot_records(EnquiryRow.objects.get(pk=key))
    assert [a.where.words for lot in found for a in lot.analyses][: len(PLACES)] == list(PLACES)
    addresses = [a.where for lot in found for a in lot.analyses]
    assert addresses[2] == Address("lots.csv", row=2, column=5)
    assert addresses[4] == Address("book.xlsx", "Lots", 4)
    assert addresses[5] == Address("book.xlsx", "Lots", column=3)


def test_lots_taken_over_before_have_the_fingerprint_they_had() -> None:
    key = save_enquiry(enquiry(), lots()).pk
    migrated("0006_lots_added")
    migrated(newest())
    unknown = [replace(lot, certificate="") for lot in lots()]  # which file they came in was not kept then
    assert inputs_text(enquiry(), lot_records(EnquiryRow.objects.get(pk=key))) == inputs_text(enquiry(), unknown)


def test_rows_kept_under_their_former_names_are_found_with_their_history() -> None:
    row = save_enquiry(enquiry(), lots())
    row.title = "asked again"
    row.save()
    migrated("0009_certificate_of_a_lot")
    before = set(connection.introspection.table_names())
    migrated("0007_addresses")
    assert set(connection.introspection.table_names()) == before
    migrated("0008_rows_named")
    assert set(connection.introspection.table_names()) == before
    migrated(newest())
    again = EnquiryRow.objects.get(pk=row.pk)
    assert [one.title for one in again.history.all()] == ["asked again", enquiry().title]
    unknown = tuple(replace(lot, certificate="") for lot in lots())  # the way back drops which file it was
    assert lot_records(again) == unknown
