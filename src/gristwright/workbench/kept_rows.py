"""The rows of an enquiry as the tables hold them, read by nobody: taken away, taken out. See docs/desk.md.

No value is made into anything here, so that a row which no page can show any more can be had and deleted all the same.
"""

from __future__ import annotations

import base64
import json
import math
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import connection, models, transaction

from gristwright.files.jobs_out import zipped
from gristwright.store.models import Answer, CertificateFile, EnquiryRow, Papers

# Contents that are files of their own: table -> column -> the end of the name.
CONTENTS = {
    CertificateFile: {"received": ".as-sent", "content": ".as-read"},
    Papers: {"pdf": ".pdf", "page": ".html"},
    Answer: {"view": ".json"},
}


@dataclass(frozen=True)
class RowsBelow:
    """The rows of a table that hang on one row: a condition with one place for its key; `cut` are set free instead."""

    model: type[models.Model]
    where: str
    cut: str = ""


def hanging_on(model: type[models.Model], where: str = "") -> Iterator[RowsBelow]:
    """The rows that hang on a row, those farthest from it first, then the row."""
    own = where or f"{_quoted(_key(model))} = %s"
    for other in apps.get_app_config("store").get_models():
        for field in other._meta.concrete_fields:
            if not isinstance(field, models.ForeignKey) or field.related_model is not model:
                continue
            if hasattr(other, "history_object") and model is not EnquiryRow:
                continue  # what was done to a row stays told, but for an enquiry that goes as a whole
            within = f"SELECT {_quoted(_key(model))} FROM {_quoted(model._meta.db_table)} WHERE {own}"
            there = f"{_quoted(field.column)} IN ({within})"
            if field.remote_field.on_delete is models.SET_NULL:
                yield RowsBelow(other, there, field.column)
            elif other is not model:
                yield from hanging_on(other, there)
    if model is EnquiryRow:
        yield RowsBelow(EnquiryRow.history.model, own)
    yield RowsBelow(model, own)


def _quoted(name: str) -> str:
    return connection.ops.quote_name(name)


def _key(model: type[models.Model]) -> str:
    return str(model._meta.pk.column)


def _kept(key: Any) -> Any:
    """A key as the tables hold it."""
    return key.hex if isinstance(key, uuid.UUID) else key


@transaction.atomic
def delete(model: type[models.Model], key: Any) -> None:
    """Delete a row with all that hangs on it."""
    with connection.cursor() as cursor:
        for one in hanging_on(model):
            table = _quoted(one.model._meta.db_table)
            begin = f"UPDATE {table} SET {_quoted(one.cut)} = NULL" if one.cut else f"DELETE FROM {table}"
            cursor.execute(f"{begin} WHERE {one.where}", [_kept(key)])


def rows_of(model: type[models.Model], where: str, key: Any) -> list[dict[str, Any]]:
    """Rows of a table by the names of their columns."""
    names = [str(field.column) for field in model._meta.concrete_fields]
    # The plus changes nothing, but leaves out the database's own reading of dates.
    wanted = ", ".join(f"+{_quoted(name)}" for name in names)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {wanted} FROM {_quoted(model._meta.db_table)} WHERE {where}", [_kept(key)])
        return [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]


def title_of(key: uuid.UUID) -> str:
    """The title of an enquiry; nothing where there is none."""
    rows = rows_of(EnquiryRow, f"{_quoted('id')} = %s", key)
    return str(rows[0]["title"]) if rows else ""


def as_kept(key: uuid.UUID) -> bytes:
    """A ZIP of everything that is kept of an enquiry: the rows as JSON, files and papers beside them."""
    files: dict[str, bytes] = {}
    tables: dict[str, list[dict[str, Any]]] = {}
    for one in hanging_on(EnquiryRow):
        if one.cut:
            continue
        kept = tables.setdefault(one.model._meta.db_table, [])
        for number, row in enumerate(rows_of(one.model, one.where, key), 1):
            for column, end in CONTENTS.get(one.model, {}).items():
                files[f"{one.model.__name__.lower()}-{number}{end}"] = _bytes(row[column])
            kept.append({name: _said(value) for name, value in row.items() if name not in CONTENTS.get(one.model, {})})
    return zipped({"rows.json": json.dumps(tables, indent=1, allow_nan=False).encode(), **files})


def _bytes(value: Any) -> bytes:
    return str(value).encode(errors="backslashreplace") if not isinstance(value, bytes | memoryview) else bytes(value)


def _said(value: Any) -> Any:
    """A value as JSON has it."""
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode()
    if value is None or isinstance(value, str | int) or (isinstance(value, float) and math.isfinite(value)):
        return value
    return str(value)
