"""When an enquiry was archived, and when it was put into the bin."""

from __future__ import annotations

from django.db import migrations, models


def aside(label: str) -> models.DateTimeField[None, None]:
    """A moment, or never."""
    return models.DateTimeField(label, blank=True, null=True)


class Migration(migrations.Migration):
    """Two columns more, in the history too."""

    dependencies = (("store", "0015_remembered"),)
    operations = tuple(
        migrations.AddField(model, name, aside(label))
        for model in ("enquiryrow", "historicalenquiryrow")
        for name, label in (("archived_at", "archived"), ("binned_at", "put into the bin"))
    )
