"""The tables."""

from __future__ import annotations

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    """The tables."""

    initial = True
    dependencies = (migrations.swappable_dependency(settings.AUTH_USER_MODEL),)
    operations = (
        migrations.CreateModel(
            name="Enquiry",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("title", models.CharField(default="", max_length=200)),
                ("customer", models.CharField(default="", max_length=200)),
                ("question", models.TextField(default="", max_length=2000)),
                ("adviser", models.CharField(default="", max_length=200)),
                ("date", models.DateField(null=True)),
                ("valid_days", models.IntegerField(default=90)),
                ("categories", models.JSONField(default=list)),
                ("purpose", models.CharField(default="whisky", max_length=20)),
                ("currency", models.CharField(default="", max_length=3)),
                ("processing_cost_per_t", models.FloatField(default=0.0)),
                ("grid_parts", models.IntegerField(default=500)),
                ("most_materials", models.IntegerField(default=5)),
                ("invented", models.BooleanField(default=False)),
                ("least_lpa_per_t", models.FloatField(null=True)),
                ("most_cost_per_lpa", models.FloatField(null=True)),
                ("least_wash_abv_pct", models.FloatField(null=True)),
                ("most_original_gravity_sg", models.FloatField(null=True)),
                ("present_name", models.CharField(default="today", max_length=200)),
                ("record_mean_lpa_per_t", models.FloatField(null=True)),
                ("record_sd_lpa_per_t", models.FloatField(null=True)),
                ("record_mashes", models.IntegerField(null=True)),
                ("tried", models.JSONField(default=dict)),
                ("tried_rest", models.CharField(default="", max_length=200)),
                (
                    "owner",
                    models.ForeignKey(
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("-made_at",),
            },
        ),
        migrations.CreateModel(
            name="CertificateFile",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("name", models.CharField(default="", max_length=200)),
                ("received", models.BinaryField()),
                ("content", models.BinaryField()),
                ("mends", models.JSONField(default=list)),
                ("headings", models.JSONField(default=list)),
                ("sent_at", models.DateTimeField(auto_now_add=True)),
                ("taken_at", models.DateTimeField(null=True)),
                (
                    "sent_by",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="certificate_files",
                        to="store.enquiry",
                    ),
                ),
            ],
            options={
                "ordering": ("-sent_at",),
            },
        ),
        migrations.CreateModel(
            name="Cask",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(default="", max_length=80)),
                ("capacity_L", models.FloatField(null=True)),
                ("wall_mm", models.FloatField(null=True)),
                ("wood", models.CharField(default="oak", max_length=40)),
                ("fill_number", models.IntegerField(default=1)),
                ("charred", models.BooleanField(default=True)),
                ("prior_contents", models.CharField(default="", max_length=80)),
                ("climate", models.CharField(default="", max_length=80)),
                ("month_degC", models.JSONField(default=list)),
                ("month_humidity", models.JSONField(default=list)),
                ("climate_source", models.CharField(default="", max_length=400)),
                ("climate_standing", models.CharField(default="measured", max_length=20)),
                ("entry_abv_pct", models.FloatField(null=True)),
                ("years", models.FloatField(null=True)),
                ("bottle_abv_pct", models.FloatField(null=True)),
                ("bottle_L", models.FloatField(default=0.7)),
                ("first_month", models.IntegerField(default=1)),
                ("additions", models.JSONField(default=list)),
                ("excise_warehouse", models.BooleanField(default=None, null=True)),
                (
                    "enquiry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="cask", to="store.enquiry"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="House",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(default="", max_length=200)),
                ("kind", models.CharField(default="separated", max_length=40)),
                ("country", models.CharField(default="", max_length=10)),
                ("tonnes_per_year", models.FloatField(null=True)),
                ("one_distillery", models.BooleanField(default=True)),
                ("wort_boiled", models.BooleanField(default=False)),
                ("enzymes", models.CharField(default="malt only", max_length=40)),
                ("ferment_agents", models.CharField(default="yeast", max_length=40)),
                ("kg_per_mash", models.FloatField(null=True)),
                ("wort_L_per_t", models.FloatField(null=True)),
                ("settled_mash_degC", models.FloatField(default=64.0)),
                ("mash_pH", models.FloatField(null=True)),
                ("pH_aim", models.FloatField(null=True)),
                ("cook_degC", models.FloatField(null=True)),
                ("premalt_pct", models.FloatField(default=0.0)),
                ("backset_pct", models.FloatField(default=0.0)),
                ("plate_area_m2", models.FloatField(null=True)),
                ("usual_run_off_hours", models.FloatField(null=True)),
                ("grist_degC", models.FloatField(default=15.0)),
                ("vessel_loss_K", models.FloatField(default=0.0)),
                ("bag_kg", models.FloatField(default=25.0)),
                ("silo_kg", models.FloatField(default=5.0)),
                ("mill_gap_mm", models.FloatField(null=True)),
                ("stand_min", models.FloatField(null=True)),
                ("water_first_L_per_kg", models.FloatField(null=True)),
                ("water_first_degC", models.FloatField(null=True)),
                ("water_second_L_per_kg", models.FloatField(null=True)),
                ("water_second_degC", models.FloatField(null=True)),
                ("water_third_L_per_kg", models.FloatField(null=True)),
                ("water_third_degC", models.FloatField(null=True)),
                ("water_fourth_L_per_kg", models.FloatField(null=True)),
                ("water_fourth_degC", models.FloatField(null=True)),
                ("washbacks", models.IntegerField(null=True)),
                ("washback_volume_L", models.FloatField(null=True)),
                ("ferment_hours", models.FloatField(null=True)),
                ("set_degC", models.FloatField(default=20.0)),
                ("stills", models.CharField(default="pot stills", max_length=40)),
                ("wash_charge_L", models.FloatField(null=True)),
                ("spirit_charge_L", models.FloatField(null=True)),
                ("low_wines_abv_pct", models.FloatField(default=22.0)),
                ("charge_abv_pct", models.FloatField(default=25.0)),
                ("heart_abv_pct", models.FloatField(default=69.0)),
                ("beer_L_per_h", models.FloatField(null=True)),
                ("head_abv_pct", models.FloatField(default=60.0)),
                ("doubler_abv_pct", models.FloatField(default=68.0)),
                (
                    "enquiry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="house", to="store.enquiry"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Job",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("state", models.CharField(default="waiting", max_length=20)),
                ("members", models.PositiveIntegerField(default=2048)),
                ("done", models.PositiveIntegerField(default=0)),
                ("total", models.PositiveIntegerField(default=0)),
                ("note", models.CharField(default="", max_length=300)),
                ("said", models.JSONField(default=list)),
                ("stop_asked", models.BooleanField(default=False)),
                ("asked_at", models.DateTimeField(auto_now_add=True)),
                ("began_at", models.DateTimeField(null=True)),
                ("ended_at", models.DateTimeField(null=True)),
                (
                    "asked_by",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="jobs", to="store.enquiry"
                    ),
                ),
            ],
            options={
                "ordering": ("-asked_at",),
            },
        ),
        migrations.CreateModel(
            name="Answer",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("inputs", models.TextField()),
                ("inputs_sha256", models.CharField(max_length=64)),
                ("view", models.TextField()),
                ("view_sha256", models.CharField(max_length=64)),
                ("pdf", models.BinaryField()),
                ("pdf_sha256", models.CharField(max_length=64)),
                ("page", models.TextField(default="")),
                ("page_sha256", models.CharField(default="", max_length=64)),
                ("issued_at", models.DateTimeField(auto_now_add=True)),
                (
                    "issued_by",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="answers", to="store.enquiry"
                    ),
                ),
                (
                    "job",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="answer", to="store.job"
                    ),
                ),
            ],
            options={
                "ordering": ("-issued_at",),
            },
        ),
        migrations.CreateModel(
            name="Lot",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("place", models.PositiveIntegerField(default=0)),
                ("lot_id", models.CharField(default="", max_length=80)),
                ("material", models.CharField(default="", max_length=80)),
                ("supplier", models.CharField(default="", max_length=200)),
                ("lot_number", models.CharField(default="", max_length=200)),
                ("crop", models.IntegerField(null=True)),
                ("where", models.CharField(default="", max_length=400)),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="lots", to="store.enquiry"
                    ),
                ),
            ],
            options={
                "ordering": ("place", "id"),
            },
        ),
        migrations.CreateModel(
            name="Analysis",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("place", models.PositiveIntegerField(default=0)),
                ("field", models.CharField(default="", max_length=60)),
                ("value", models.FloatField()),
                ("unit", models.CharField(default="", max_length=40)),
                ("basis", models.CharField(default="", max_length=40)),
                ("method", models.CharField(default="", max_length=120)),
                ("standing", models.CharField(default="", max_length=20)),
                ("where", models.CharField(default="", max_length=400)),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="analyses", to="store.lot"
                    ),
                ),
            ],
            options={
                "ordering": ("place", "id"),
            },
        ),
        migrations.CreateModel(
            name="LotGroup",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("place", models.PositiveIntegerField(default=0)),
                ("name", models.CharField(default="", max_length=80)),
                ("lot_ids", models.JSONField(default=list)),
                ("least_parts", models.IntegerField(default=0)),
                ("most_parts", models.IntegerField(default=10000)),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="groups", to="store.enquiry"
                    ),
                ),
            ],
            options={
                "ordering": ("place", "id"),
            },
        ),
        migrations.CreateModel(
            name="OfferedLot",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("place", models.PositiveIntegerField(default=0)),
                ("lot_id", models.CharField(default="", max_length=80)),
                ("price_per_t", models.FloatField(null=True)),
                ("least_parts", models.IntegerField(default=0)),
                ("most_parts", models.IntegerField(default=10000)),
                ("for_character", models.BooleanField(default=None, null=True)),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="offered", to="store.enquiry"
                    ),
                ),
            ],
            options={
                "ordering": ("place", "id"),
            },
        ),
        migrations.CreateModel(
            name="BillShare",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("place", models.PositiveIntegerField(default=0)),
                ("lot_id", models.CharField(default="", max_length=80)),
                ("parts", models.IntegerField(default=0)),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="shares", to="store.enquiry"
                    ),
                ),
            ],
            options={
                "ordering": ("place", "id"),
                "constraints": [models.UniqueConstraint(fields=("enquiry", "lot_id"), name="one_share_a_lot")],
            },
        ),
        migrations.AddConstraint(
            model_name="lot",
            constraint=models.UniqueConstraint(fields=("enquiry", "lot_id"), name="one_lot_a_name"),
        ),
        migrations.AddConstraint(
            model_name="lot",
            constraint=models.UniqueConstraint(
                condition=models.Q(("lot_number", ""), _negated=True),
                fields=("enquiry", "supplier", "lot_number", "crop"),
                name="one_delivery",
            ),
        ),
        migrations.AddConstraint(
            model_name="offeredlot",
            constraint=models.UniqueConstraint(fields=("enquiry", "lot_id"), name="one_offer_a_lot"),
        ),
    )
