"""Where a lot and each of its values stood, by its parts."""

from __future__ import annotations

from typing import Any

from django.db import migrations, models

from gristwright.basics import Address


def take_apart(apps: Any, schema_editor: Any) -> None:
    """The places written as words until now; words that are no such place are kept as they are."""
    for name in ("Lot", "Analysis"):
        model = apps.get_model("store", name)
        for row in model.objects.exclude(where="").iterator():
            row.address = address_of(row.where).as_data()
            row.save(update_fields=["address"])


def put_together(apps: Any, schema_editor: Any) -> None:
    """The words of every place, as they stood before."""
    for name in ("Lot", "Analysis"):
        model = apps.get_model("store", name)
        for row in model.objects.iterator():
            row.where = Address.of(row.address).words
            row.save(update_fields=["where"])


def address_of(words: str) -> Address:
    """The address that reads as these words, which were written by this program alone."""
    file, _, rest = words.partition(", ")
    sheet, address = "", Address(file)
    if rest.startswith("sheet "):
        sheet, _, rest = rest.removeprefix("sheet ").rpartition(", ")
    kind, _, rest = rest.partition(" ")
    number, _, heading = rest.partition(", ")
    if kind == "cell":
        column = number.rstrip("0123456789")
        address = Address(file, sheet, _whole(number[len(column) :]), _by_letters(column))
    elif kind == "row" and heading.startswith("column "):
        address = Address(file, sheet, _whole(number), _whole(heading.removeprefix("column ")))
    elif kind == "row":
        address = Address(file, sheet, _whole(number), path=(heading,) if heading else ())
    elif kind == "column":
        address = Address(file, sheet, column=_by_letters(number) if sheet else _whole(number))
    return address if address.words == words else Address(path=(words,))


def _whole(text: str) -> int | None:
    return int(text) if text.isdecimal() else None


def _by_letters(text: str) -> int | None:
    number = 0
    for letter in text:
        number = number * 26 + ord(letter) - 64
    return number or None


class Migration(migrations.Migration):
    """Two columns of words become two of addresses."""

    dependencies = (("store", "0006_lots_added"),)
    operations = (
        migrations.AddField("lot", "address", models.JSONField(default=dict)),
        migrations.AddField("analysis", "address", models.JSONField(default=dict)),
        migrations.RunPython(take_apart, put_together),
        migrations.RemoveField("lot", "where"),
        migrations.RemoveField("analysis", "where"),
        migrations.RenameField("lot", "address", "where"),
        migrations.RenameField("analysis", "address", "where"),
    )
