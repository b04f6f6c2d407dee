"""The page of an answer as the desk shows it, frozen with its fingerprint."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    """Two columns more; answers issued before get theirs when the desk starts."""

    dependencies = (("store", "0010_documents"),)
    operations = (
        migrations.AddField("answer", "shown", models.TextField(default="")),
        migrations.AddField("answer", "shown_sha256", models.CharField(default="", max_length=64)),
    )
