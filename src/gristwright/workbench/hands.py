"""Who saved what stands in a field, and when; who took a line out. See docs/desk.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.db import models

from gristwright.basics import FieldPath
from gristwright.store.models import BillShare, CaskVersion, NamedLot, PlantVersion
from gristwright.store.models.versions import Version
from gristwright.workbench.fields import count_in
from gristwright.workbench.record_form import path_of, value_at

# More rows than any table of a desk has.
MOST_ROWS = 10**9


@dataclass(frozen=True)
class Hand:
    """Who saved something, and when."""

    who: str
    when: dt.datetime

    def __str__(self) -> str:
        return f"by {self.who} on {self.when.day} {self.when:%B at %H:%M} UTC"


def of_row(bound: Any) -> Hand | None:
    """Whose value of a column it is that a row holds; of a row that is gone, who took it out."""
    return _of_column(bound.form.instance, bound.name)


def of_row_whole(row: models.Model) -> Hand | None:
    """Who saved a row last, or took it out."""
    own = {"id": row.pk} if row.pk else {"enquiry_id": getattr(row, "enquiry_id", None)}
    record = _history(type(row)).filter(**own).first()
    return _hand(record) if record else None


def of_offer(bound: Any) -> Hand | None:
    """As of a row; a lot's share of today's bill is a row of its own."""
    if bound.name != "today":
        return of_row(bound)
    record = _history(BillShare).filter(named_id=bound.form.instance.named_id).first()
    return _hand(record) if record else None


def of_document(last: PlantVersion | CaskVersion | None) -> Callable[[Any], Hand | None]:
    """Whose value it is that a document holds, as the ones before it tell."""
    if last is None:
        return lambda _: None
    of = {"house": last.house} if isinstance(last, PlantVersion) else {"enquiry": last.enquiry}
    earlier = type(last).objects.filter(**of, number__lte=last.number).select_related("by").order_by("-number")
    kept: list[Version] = list(earlier)
    return lambda bound: _of_path(kept, path_of(bound.name))


def took_out(lines: Any, key: str) -> tuple[str, Hand | None]:
    """What a line was called that is no longer there, and who took it out."""
    gone = _history(lines.model).filter(id=number).first() if (number := count_in(key, MOST_ROWS)) else None
    return (_called(gone), _hand(gone)) if gone else ("A line", None)


def _called(gone: Any) -> str:
    """What a line was called; of a lot whose name went too, as it was called last."""
    try:
        return str(gone.instance)
    except ObjectDoesNotExist:
        named = _history(NamedLot).filter(id=gone.named_id).first()
        return f"Lot {named.name} on offer" if named else "A lot on offer"


def _history(model: type[models.Model]) -> Any:
    history: Any = model.history  # type: ignore[attr-defined]
    return history.select_related("history_user").order_by("-history_date", "-history_id")


def _of_column(row: models.Model, column: str) -> Hand | None:
    own = {"id": row.pk} if row.pk else {"enquiry_id": getattr(row, "enquiry_id", None)}
    found = None
    for record in _history(type(row)).filter(**own):
        if found is not None and getattr(record, column, None) != getattr(row, column, None):
            break
        found = record
        if record.history_type == "-":
            break
    return _hand(found) if found else None


def _of_path(versions: list[Version], path: FieldPath) -> Hand | None:
    found = None
    if all(value_at(version.document, path) is None for version in versions):
        versions = versions[:1]  # a field that stands for more than one of the document
    for version in versions:
        if found is not None and value_at(version.document, path) != value_at(versions[0].document, path):
            break
        found = version
    return Hand(found.by.get_username() if found.by else "the desk", found.at) if found else None


def _hand(record: Any) -> Hand:
    return Hand(record.history_user.get_username() if record.history_user else "the desk", record.history_date)
