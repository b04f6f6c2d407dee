"""Rows of enquiries, lots and analyses are called apart from their records; the tables keep their names."""

from __future__ import annotations

from django.db import migrations

TABLES = {
    "Enquiry": "store_enquiry",
    "HistoricalEnquiry": "store_historicalenquiry",
    "Lot": "store_lot",
    "Analysis": "store_analysis",
}


class Migration(migrations.Migration):
    """No change in the database: each table is named first, so that the new name of its class does not move it."""

    dependencies = (("store", "0007_addresses"),)
    operations = (
        *(migrations.AlterModelTable(name, table) for name, table in TABLES.items()),
        *(migrations.RenameModel(name, f"{name}Row") for name in TABLES),
        migrations.AlterModelOptions("EnquiryRow", {"ordering": ("-made_at",), "verbose_name": "enquiry"}),
    )
