"""What a brewer demands of a bill."""

from __future__ import annotations

from django.db import migrations, models

NAMES = (
    "least_original_gravity_degP",
    "most_original_gravity_degP",
    "least_colour_EBC",
    "most_colour_EBC",
    "least_limit_attenuation_pct",
    "least_extract_yield_pct",
    "least_fan_mg_per_L",
    "most_beta_glucan_mg_per_L",
    "most_cost_per_hL",
)


class Migration(migrations.Migration):
    """A column for each limit, in the history too."""

    dependencies = (("store", "0017_brewers"),)
    operations = tuple(
        migrations.AddField(model, name, models.FloatField(null=True))
        for model in ("enquiryrow", "historicalenquiryrow")
        for name in NAMES
    )
