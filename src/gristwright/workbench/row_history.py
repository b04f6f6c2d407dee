"""The history of the rows of an enquiry: what each record says otherwise than the one before it. See docs/desk.md.

All tables of what hangs on an enquiry are asked at once, with the names that stand for keys, so that the page of
changes costs the same however many changes there are.
"""

from __future__ import annotations

import datetime as dt
import json
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from django.db.models import CharField, DateTimeField, F, Field, JSONField, Model, QuerySet, Value
from django.db.models.functions import JSONObject

from gristwright.store.models import (
    AgedCasks,
    BillShare,
    EnquiryRow,
    LotGroup,
    LotRow,
    LotVersion,
    NamedLot,
    OfferedLot,
    Release,
)

HANGING: tuple[Any, ...] = (NamedLot, OfferedLot, LotGroup, BillShare, Release, AgedCasks)
# Marks of the lines that are no history: what lots are called now, and certificates.
NOW, CERTIFICATE = "now", "certificate"


@dataclass(frozen=True)
class Record:
    """What was done to one row, and the row as it stood after."""

    model: type[Model]
    when: dt.datetime
    who: str | None
    kind: str
    values: Mapping[str, Any]
    before: Mapping[str, Any] | None = None

    @property
    def row(self) -> Model:
        """The row as it stood."""
        return self.model(**self.values)

    def changed(self) -> Iterator[tuple[Field[Any, Any], Any, Any]]:
        """Every field that differs from the record before: before and after."""
        for field in _fields(self.model):
            old, new = (self.before or {}).get(field.attname), self.values.get(field.attname)
            if (field.editable or field.name == "asked") and old != new:
                yield field, old, new


@dataclass(frozen=True)
class History:
    """The records of an enquiry, and what keys in them stand for: lots, also those that are gone, certificates,
    customers."""

    records: tuple[Record, ...]
    lots: Mapping[str, str]
    certificates: Mapping[int, str]
    customers: Mapping[str, str]


def history_of(enquiry: EnquiryRow) -> History:
    """The history of an enquiry and of what hangs on it, in two questions to the tables."""
    own = list(EnquiryRow.history.filter(id=enquiry.pk).select_related("history_user", "customer"))
    customers = {str(one.customer_id): one.customer.name for one in own if one.customer}
    placed, lots, certificates = _hanging(enquiry)
    records = _in_order([*map(_of_enquiry, own), *placed])
    past = {str(record.values["id"]): record.values["name"] for record in records if record.model is NamedLot}
    return History(tuple(records), past | lots, certificates, customers)


Placed = tuple[tuple[dt.datetime, int], Record]


def _hanging(enquiry: EnquiryRow) -> tuple[list[Placed], dict[str, str], dict[int, str]]:
    """The records of what hangs on an enquiry, what its lots are called now, and its certificates by their keys."""
    by_name = {model.__name__: model for model in HANGING}
    placed: list[Placed] = []
    lots: dict[str, str] = {}
    certificates: dict[int, str] = {}
    for kind, at, number, done, who, said in _asked(enquiry):
        if kind == CERTIFICATE:
            version = LotVersion(number=said["number"], lot=LotRow(**said["lot"]))
            certificates[number] = str(version)
        elif kind == NOW:
            lots[str(uuid.UUID(said["id"]))] = said["name"]
        else:
            model = by_name[kind]
            values = {field.attname: _value(field, said[field.attname]) for field in _fields(model)}
            placed.append(((at, number), Record(model, at, who, done, values)))
    return placed, lots, certificates


def _asked(enquiry: EnquiryRow) -> QuerySet[Any, Any]:
    """Lines of every table in one question: kind, moment, number, what was done, who, the row."""
    now = NamedLot.objects.filter(enquiry=enquiry).order_by()
    past = NamedLot.history.filter(enquiry_id=enquiry.pk).values("version_id")
    versions = LotVersion.objects.filter(pk__in=past).order_by()
    lot = JSONObject(supplier="lot__supplier", lot_number="lot__lot_number", crop="lot__crop")
    lines = [_history(model, enquiry) for model in HANGING]
    lines.append(now.values_list(Value(NOW), *_nothing(Value(0)), JSONObject(id="id", name="name")))
    lines.append(versions.values_list(Value(CERTIFICATE), *_nothing(F("pk")), JSONObject(number="number", lot=lot)))
    return lines[0].union(*lines[1:], all=True)


def _history(model: Any, enquiry: EnquiryRow) -> QuerySet[Any, Any]:
    row = JSONObject(**{field.attname: field.attname for field in _fields(model)})
    told = ("history_date", "history_id", "history_type", "history_user__username")
    rows = model.history.filter(enquiry_id=enquiry.pk).order_by()
    return rows.values_list(Value(model.__name__), *told, row)  # type: ignore[no-any-return]


def _nothing(number: Any) -> tuple[Any, ...]:
    """What stands in a line that is no history where others have moment, number, what was done, who."""
    moment: DateTimeField[Any, Any] = DateTimeField()
    return Value(None, moment), number, Value(""), Value(None, CharField())


def _of_enquiry(record: Any) -> Placed:
    values = {field.attname: getattr(record, field.attname) for field in _fields(EnquiryRow)}
    who = record.history_user.get_username() if record.history_user else None
    kept = Record(EnquiryRow, record.history_date, who, record.history_type, values)
    return (record.history_date, record.history_id), kept


def _in_order(placed: list[Placed]) -> list[Record]:
    """The oldest first, each with what the one before it of the same row said."""
    last: dict[tuple[type[Model], Any], Record] = {}
    records = []
    for _, record in sorted(placed, key=lambda one: one[0]):
        key = (record.model, record.values["id"])
        before = last.get(key)
        last[key] = replace(record, before=before.values if before else None)
        records.append(last[key])
    return records


@cache
def _fields(model: Any) -> tuple[Any, ...]:
    """The fields that a history keeps, by name; asked for with every record, and dear to ask."""
    return tuple(sorted(model.history.model.tracked_fields, key=lambda field: str(field.name)))


def _value(field: Any, kept: Any) -> Any:
    """A value as the row has it; a table gives texts for keys and for lists."""
    if isinstance(field, JSONField):
        return json.loads(kept) if isinstance(kept, str) else kept
    return field.to_python(kept)
