"""Which certificate file a lot's figures came in."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """A column more; of lots taken over before it is not known."""

    dependencies = (("store", "0008_rows_named"),)
    operations = (migrations.AddField("lotrow", "certificate", models.CharField(default="", max_length=64)),)
