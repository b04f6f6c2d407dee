"""An answer is a draft until it is issued: its papers and what was decided about it get rows of their own."""

from __future__ import annotations

from typing import Any

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

FROZEN = ("view", "view_sha256", "pdf", "pdf_sha256", "page", "page_sha256", "shown", "shown_sha256")
PAPERS = ("pdf", "pdf_sha256", "page", "page_sha256")


def forward(apps: Any, schema_editor: Any) -> None:
    """What earlier releases left was issued as soon as it was written."""
    for answer in apps.get_model("store", "Answer").objects.iterator(chunk_size=10):
        papers = {name: getattr(answer, name) for name in FROZEN}
        apps.get_model("store", "Papers").objects.create(answer=answer, **papers)
        who = answer.made_by.username if answer.made_by else ""
        apps.get_model("store", "AnswerStep").objects.create(
            answer=answer, kind="issued", who=who, by=answer.made_by, at=answer.made_at
        )


def backward(apps: Any, schema_editor: Any) -> None:
    """What was issued is an answer again; drafts have no place there."""
    answers = apps.get_model("store", "Answer").objects
    answers.filter(papers=None).delete()
    for papers in apps.get_model("store", "Papers").objects.iterator(chunk_size=10):
        answers.filter(pk=papers.answer_id).update(**{name: getattr(papers, name) for name in FROZEN})


def user(**more: Any) -> Any:
    return models.ForeignKey(
        on_delete=django.db.models.deletion.PROTECT, null=True, to=settings.AUTH_USER_MODEL, **more
    )


def digest(**more: Any) -> Any:
    return models.CharField(max_length=64, **more)


class Migration(migrations.Migration):
    """Two tables more, four columns moved."""

    dependencies = (("store", "0012_library"), migrations.swappable_dependency(settings.AUTH_USER_MODEL))
    operations = (
        migrations.RenameField("answer", "issued_by", "made_by"),
        migrations.RenameField("answer", "issued_at", "made_at"),
        migrations.AlterField("answer", "made_at", models.DateTimeField(default=django.utils.timezone.now)),
        migrations.AlterModelOptions("answer", {"ordering": ("-made_at",)}),
        migrations.AddField("answer", "drawn", models.TextField(default="")),
        migrations.AddField("answer", "drawn_sha256", digest(default="")),
        migrations.AlterField("answer", "pdf", models.BinaryField(default=b"")),
        migrations.AlterField("answer", "pdf_sha256", digest(default="")),
        migrations.CreateModel(
            name="Papers",
            fields=[
                (
                    "answer",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="papers",
                        serialize=False,
                        to="store.answer",
                    ),
                ),
                ("view", models.TextField()),
                ("view_sha256", digest()),
                ("pdf", models.BinaryField()),
                ("pdf_sha256", digest()),
                ("page", models.TextField(default="")),
                ("page_sha256", digest(default="")),
                ("shown", models.TextField(default="")),
                ("shown_sha256", digest(default="")),
            ],
            options={"abstract": False},
        ),
        migrations.CreateModel(
            name="AnswerStep",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(max_length=20)),
                ("who", models.CharField(default="", max_length=200)),
                ("note", models.TextField(default="", max_length=2000)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                ("by", user(related_name="+")),
                (
                    "answer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="decisions", to="store.answer"
                    ),
                ),
            ],
            options={"ordering": ("at", "id")},
        ),
        migrations.RunPython(forward, backward),
        *(migrations.RemoveField("answer", name) for name in PAPERS),
    )
