"""The attenuation that a brewer aims at."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """A column more, in the history too."""

    dependencies = (("store", "0016_kept_aside"),)
    operations = tuple(
        migrations.AddField(model, "target_attenuation_pct", models.FloatField(null=True))
        for model in ("enquiryrow", "historicalenquiryrow")
    )
