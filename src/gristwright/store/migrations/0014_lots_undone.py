"""What was done to the lots of an enquiry, so that it can be undone."""

from __future__ import annotations

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models


class Migration(migrations.Migration):
    """One table more; of what was done before it nothing can be undone."""

    dependencies = (("store", "0013_drafts"),)
    operations = (
        migrations.CreateModel(
            "LotStep",
            [
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("told", models.JSONField(default=list)),
                ("lines", models.JSONField(default=list)),
                ("went", models.JSONField(default=list)),
                ("came", models.JSONField(default=list)),
                ("by", models.CharField(default="", max_length=200)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                ("undone_at", models.DateTimeField(null=True)),
                (
                    "enquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="lot_steps", to="store.enquiryrow"
                    ),
                ),
                (
                    "file",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="steps",
                        to="store.certificatefile",
                    ),
                ),
            ],
            {"ordering": ("-at",)},
        ),
    )
