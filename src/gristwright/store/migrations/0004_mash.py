"""How a house mashes step by step, kinds of jobs, and the simulated mashes of bills tried."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from typing import Any

import django.db.models.deletion
from django.db import migrations, models

HOUSES = ("house", "historicalhouse")
MAYBE = (
    "vessel_L",
    "liquor_degC",
    "liquor_L_per_kg",
    "calcium_mg_per_L",
    "alkalinity_mg_per_L",
    *(f"rest_{number}_{what}" for number in range(1, 7) for what in ("degC", "min")),
    *(f"cooker_{step}" for step in ("slurry_degC", "cook_min", "second_degC", "second_min", "malt_min")),
)
USUAL = {"later_stand_min": 20.0, "run_off_min": 40.0, "ramp_K_per_min": 1.0}


def columns() -> Iterator[tuple[str, models.Field[Any, Any]]]:
    """The new columns of a house."""
    yield "vessel", models.CharField(default="tun", max_length=40)
    for name in MAYBE:
        yield name, models.FloatField(null=True)
    for name, usual in USUAL.items():
        yield name, models.FloatField(default=usual)
    yield "waters_to_washback", models.IntegerField(default=2)
    yield "cooker_second_species", models.JSONField(default=list)


class Migration(migrations.Migration):
    """How a house mashes step by step, kinds of jobs, and the simulated mashes of bills tried."""

    dependencies = (("store", "0003_release_and_ages"),)
    operations = (
        *(migrations.AddField(model, name, field) for model in HOUSES for name, field in columns()),
        migrations.AddField("job", "kind", models.CharField(default="search", max_length=20)),
        migrations.AddField("job", "asked", models.JSONField(default=dict)),
        migrations.CreateModel(
            name="MashTrial",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("kind", models.CharField(max_length=20)),
                ("shares", models.JSONField(default=dict)),
                ("inputs_sha256", models.CharField(max_length=64)),
                ("view", models.TextField()),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="mash_trials", to="store.enquiry"
                    ),
                ),
                (
                    "job",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="mash_trial", to="store.job"
                    ),
                ),
            ],
            options={"ordering": ("-made_at",)},
        ),
    )
