"""How the washbacks are cooled; not stated of a house that was kept before."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """One more column of a house and of its history."""

    dependencies = (("store", "0004_mash"),)
    operations = tuple(
        migrations.AddField(model, "washback_cooling", models.CharField(default="", max_length=40))
        for model in ("house", "historicalhouse")
    )
