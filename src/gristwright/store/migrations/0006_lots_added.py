"""Two certificates of one delivery may be kept, and a file says what became of its lots."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """A constraint less and a column more."""

    dependencies = (("store", "0005_cooling"),)
    operations = (
        migrations.RemoveConstraint("lot", "one_delivery"),
        migrations.AddField("certificatefile", "taken", models.JSONField(default=list)),
    )
