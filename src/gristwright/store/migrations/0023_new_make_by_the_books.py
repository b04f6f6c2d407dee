"""What a house's new make costs by its own books."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """A column beside the other prices at release, in the history too."""

    dependencies = (("store", "0021_dosing"),)
    operations = tuple(
        migrations.AddField(model, "new_make_cost_per_lpa", models.FloatField(null=True))
        for model in ("release", "historicalrelease")
    )
