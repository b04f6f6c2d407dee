"""What was issued once more, with the customer's pages in another language."""

from __future__ import annotations

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """One table more."""

    dependencies = (("store", "0023_new_make_by_the_books"),)
    operations = (
        migrations.CreateModel(
            name="InOtherLanguage",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("language", models.CharField(max_length=2)),
                ("pdf", models.BinaryField()),
                ("pdf_sha256", models.CharField(max_length=64)),
                ("shown", models.TextField()),
                ("shown_sha256", models.CharField(max_length=64)),
                (
                    "papers",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="in_others", to="store.papers"
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="inotherlanguage",
            constraint=models.UniqueConstraint(fields=("papers", "language"), name="one_a_language"),
        ),
    )
