"""Bills asked about, and the language of the customer's pages."""

from __future__ import annotations

from typing import Any

from django.db import migrations, models


def _fields() -> tuple[tuple[str, Any], ...]:
    return (
        ("language", models.CharField(max_length=2, default="en")),
        ("asked", models.JSONField(default=list)),
    )


class Migration(migrations.Migration):
    """A column for each, in the history too."""

    dependencies = (("store", "0018_limits_of_beer"),)
    operations = tuple(
        migrations.AddField(model, name, field)
        for model in ("enquiryrow", "historicalenquiryrow")
        for name, field in _fields()
    )
