"""Prices at release, and the casks of known age that go with an enquiry."""

from __future__ import annotations

import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    """Two tables and their history."""

    dependencies = (
        ("store", "0002_history"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    )
    operations = (
        migrations.CreateModel(
            name="AgedCasks",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("claims", models.JSONField(default=list)),
                ("model", models.CharField(default="line", max_length=40)),
                ("count", models.JSONField(default=list)),
                ("grists", models.JSONField(default=list)),
                ("told", models.CharField(default="", max_length=400)),
                ("ladder", models.JSONField(default=dict)),
                ("arms", models.JSONField(default=dict)),
                (
                    "enquiry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="aged", to="store.enquiry"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "aged casks",
            },
        ),
        migrations.CreateModel(
            name="HistoricalAgedCasks",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("claims", models.JSONField(default=list)),
                ("model", models.CharField(default="line", max_length=40)),
                ("count", models.JSONField(default=list)),
                ("grists", models.JSONField(default=list)),
                ("told", models.CharField(default="", max_length=400)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "enquiry",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="store.enquiry",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical aged casks",
                "verbose_name_plural": "historical aged casks",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalRelease",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("energy_per_t", models.FloatField(null=True)),
                ("cask_price", models.FloatField(null=True)),
                ("fills", models.FloatField(null=True)),
                ("rent_per_cask_year", models.FloatField(null=True)),
                ("interest_pct_per_year", models.FloatField(null=True)),
                ("evaporation_low_pct_per_year", models.FloatField(null=True)),
                ("evaporation_high_pct_per_year", models.FloatField(null=True)),
                ("bottling_loss_pct", models.FloatField(null=True)),
                ("dry_goods_per_L", models.FloatField(null=True)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "enquiry",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="store.enquiry",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical release",
                "verbose_name_plural": "historical releases",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Release",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("energy_per_t", models.FloatField(null=True)),
                ("cask_price", models.FloatField(null=True)),
                ("fills", models.FloatField(null=True)),
                ("rent_per_cask_year", models.FloatField(null=True)),
                ("interest_pct_per_year", models.FloatField(null=True)),
                ("evaporation_low_pct_per_year", models.FloatField(null=True)),
                ("evaporation_high_pct_per_year", models.FloatField(null=True)),
                ("bottling_loss_pct", models.FloatField(null=True)),
                ("dry_goods_per_L", models.FloatField(null=True)),
                (
                    "enquiry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="release", to="store.enquiry"
                    ),
                ),
            ],
        ),
    )
