"""A series of doses that an enquiry asks for."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """A table of its own, for few enquiries ask it."""

    dependencies = (("store", "0020_markets"),)
    operations = (
        migrations.CreateModel(
            name="Dosing",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("asked", models.JSONField(default=dict)),
                (
                    "enquiry",
                    models.OneToOneField(
                        on_delete=models.deletion.CASCADE, related_name="dosing", to="store.enquiryrow"
                    ),
                ),
            ],
            options={"verbose_name_plural": "dosings"},
        ),
    )
