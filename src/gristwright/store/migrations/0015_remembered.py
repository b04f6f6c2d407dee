"""What is remembered of suppliers' words, and how each certificate file stands."""

from __future__ import annotations

import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models

ID = ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"))


class Migration(migrations.Migration):
    """Two tables more; of files sent before nothing is remembered."""

    dependencies = (("store", "0014_lots_undone"),)
    operations = (
        migrations.CreateModel(
            "Remembered",
            [
                ID,
                ("key", models.CharField(max_length=200)),
                ("supplier", models.CharField(default="", max_length=200)),
                ("what", models.CharField(default="", max_length=20)),
                ("word", models.CharField(default="", max_length=200)),
                ("means", models.CharField(default="", max_length=200)),
                ("by", models.CharField(default="", max_length=200)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
            ],
            {
                "ordering": ("supplier", "key", "what", "word"),
                "constraints": [
                    models.UniqueConstraint(fields=("key", "what", "word"), name="one_meaning_a_word"),
                ],
            },
        ),
        migrations.CreateModel(
            "FileStanding",
            [
                ID,
                ("faults", models.PositiveIntegerField(default=0)),
                ("lots", models.PositiveIntegerField(default=0)),
                (
                    "file",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="standing", to="store.certificatefile"
                    ),
                ),
            ],
        ),
    )
