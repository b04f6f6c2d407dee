"""The markets that a spirit is to be sold in."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """A column more, in the history too."""

    dependencies = (("store", "0019_asked"),)
    operations = tuple(
        migrations.AddField(model, "markets", models.JSONField(default=list))
        for model in ("enquiryrow", "historicalenquiryrow")
    )
