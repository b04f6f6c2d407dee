"""What is kept of an enquiry and cannot be read any more: found part by part, each with a way out. See docs/desk.md.

Asked once a page could not be made. A part counts as damaged when reading it ends in anything but a refusal.
"""

from __future__ import annotations

import json
import math
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.utils import timezone

from gristwright.basics import Refused
from gristwright.documents.certificate import lot_sheet
from gristwright.reference.typeface import spelled
from gristwright.store import aged, versions
from gristwright.store.columns import Within
from gristwright.store.library import lot_record
from gristwright.store.models import (
    AgedCasks,
    Answer,
    BillShare,
    CaskVersion,
    CertificateFile,
    Dosing,
    EnquiryRow,
    Job,
    LotGroup,
    LotStep,
    MashTrial,
    NamedLot,
    OfferedLot,
    Papers,
    PlantVersion,
    Release,
)
from gristwright.store.models.work import Kind, State
from gristwright.workbench import certificates, kept_rows
from gristwright.workbench.cask_form import CaskForm
from gristwright.workbench.changes import changes
from gristwright.workbench.house_form import HouseForm

HOUSE, HISTORY, QUESTION = "house", "history", "question"


@dataclass(frozen=True)
class Damaged:
    """A part that cannot be read: what it is, and by what it is taken out."""

    part: str
    row: str
    what: str
    way_out: str


def damaged(key: uuid.UUID) -> list[Damaged]:
    """Everything of an enquiry that cannot be read."""
    found = [*_rows(key)]
    if found:
        return found
    return [] if _reads(lambda: changes(EnquiryRow.objects.get(pk=key))) else [_HISTORY]


def take_out(key: uuid.UUID, part: str, row: str) -> str:
    """Take out a part that is damaged now; what was done in a sentence, nothing where there is no such part."""
    one = next((one for one in damaged(key) if (one.part, one.row) == (part, row)), None)
    if one is None:
        return ""
    if part == HOUSE:
        EnquiryRow.objects.filter(pk=key).update(plant=None)
    elif part == QUESTION:
        EnquiryRow.objects.filter(pk=key).update(**{row: EnquiryRow._meta.get_field(row).get_default()})  # type: ignore[union-attr]
    elif part == HISTORY:
        for model in (EnquiryRow, *(kind for kind in PARTS.values() if hasattr(kind, "history"))):
            own = {"id": key} if model is EnquiryRow else {"enquiry_id": key}
            history = model.history.filter(**own)  # type: ignore[attr-defined]
            history._raw_delete(history.db)
    else:
        kept_rows.delete(PARTS[part], _key_of(PARTS[part], row))
    return f"{one.what} was taken out."


# Parts that are rows of their own, in the order in which they are looked at.
PARTS: dict[str, type[models.Model]] = {
    model.__name__.lower(): model
    for model in (
        NamedLot, OfferedLot, LotGroup, BillShare, CaskVersion, Release, AgedCasks, Dosing, CertificateFile, LotStep,
        MashTrial, Answer, Job,
    )
}  # fmt: skip
_HISTORY = Damaged(HISTORY, "", "The list of changes", "Take it out: what stands now stays.")
_OUT = "Take it out, or delete the enquiry."


def _rows(key: uuid.UUID) -> Iterator[Damaged]:
    for field in _faulty_columns(key):
        what = f"“{str(field.verbose_name)[:1].upper()}{str(field.verbose_name)[1:]}”"
        yield Damaged(QUESTION, field.name, what, "Take out what it says, then fill it in anew.")
    for part, model in PARTS.items():
        for row in _keys(model, key):
            number = _key_of(model, row)
            if not _reads(lambda model=model, number=number: _whole(model.objects.get(pk=number))):  # type: ignore[misc]
                yield Damaged(part, row, _called(part, model, row), _OUT)
    plant = kept_rows.rows_of(EnquiryRow, '"id" = %s', key)[:1]
    number = plant[0]["plant_id"] if plant else None
    if number and not _reads(lambda: _house(PlantVersion.objects.get(pk=number))):
        yield Damaged(HOUSE, "", "The house", "Take it out of the enquiry, then fill it in under House.")


def _keys(model: type[models.Model], key: uuid.UUID) -> list[str]:
    name = str(model._meta.pk.column)
    return [str(row[name]) for row in kept_rows.rows_of(model, '"enquiry_id" = %s', key)]


def _key_of(model: type[models.Model], row: str) -> Any:
    return uuid.UUID(row) if isinstance(model._meta.pk, models.UUIDField) else int(row)


def _called(part: str, model: type[models.Model], row: str) -> str:
    """A part in words, by a name of its own where it has one."""
    column = str(model._meta.pk.column)
    kept = kept_rows.rows_of(model, f'"{column}" = %s', _key_of(model, row))[0]
    name = spelled(str(kept.get("name") or ""))[:80]
    return f"{TITLES[part]}{f' “{name}”' if name else ''}"


TITLES = {
    "namedlot": "The lot", "offeredlot": "A lot on offer", "lotgroup": "The bound on several lots",
    "billshare": "A share of today's bill", "caskversion": "The cask", "release": "The prices at release",
    "agedcasks": "The claim of age with its casks", "dosing": "The series of doses",
    "certificatefile": "The certificate file", "lotstep": "A step that could be undone",
    "mashtrial": "A simulated mash",
    "answer": "An answer", "job": "A search or mash that was asked for",
}  # fmt: skip


def _reads(read: Callable[[], Any]) -> bool:
    """Whether something is read, or refused in a sentence that a page can show."""
    try:
        read()
    except Refused:
        return True
    except Exception:  # whatever is wrong with it, it is found here so that a person can take it out
        return False
    return True


def _house(version: PlantVersion) -> None:
    str(version.document.get("name"))
    versions.plant_problems(version.document)
    _ = HouseForm(document=version.document)


def _whole(row: Any) -> None:
    """Read a row as the pages read it."""
    _finite(row)
    match row:
        case NamedLot(version=version) if version is not None:
            json.dumps(version.document, allow_nan=False)
            lot_sheet(lot_record(row), {}, timezone.localdate())
        case LotGroup():
            "".join(_listed(row.keys)).encode()
        case CaskVersion():
            versions.cask_problems({**row.document})
            _ = CaskForm(document=row.document)
        case AgedCasks():
            aged.claim_record(row)
        case Dosing():
            aged.dose_record(row)
        case CertificateFile():
            _certificate(row)
        case LotStep():
            _ = [one["key"] for one in (*_listed(row.went), *_listed(row.came))], "".join(row.told)
        case Answer() | MashTrial():
            _view(row)
        case Job():
            _ = State(row.state), Kind(row.kind), {**row.asked}, "".join(row.said)


def _view(row: Answer | MashTrial) -> None:
    """An answer that was issued stays, whatever becomes of it, until its enquiry goes."""
    if isinstance(row, MashTrial) or not Papers.objects.filter(answer=row).exists():
        json.loads(row.view)


def _certificate(file: CertificateFile) -> None:
    """A table that cannot be parsed is told on no page of its own."""
    _ = [one["cell"] for one in _listed(file.mends)], [{**one} for one in _listed(file.headings)], _listed(file.taken)
    try:
        certificates.read(file)
    except Refused as refused:
        raise ValueError(str(refused)) from None


def _listed(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise TypeError("no list")
    return value


def _faulty_columns(key: uuid.UUID) -> Iterator[models.Field[Any, Any]]:
    """The columns of an enquiry of which each alone cannot be read."""
    for field in EnquiryRow._meta.concrete_fields:
        asked = EnquiryRow.objects.filter(pk=key).values_list(field.attname, flat=True)
        if not field.is_relation and not _reads(lambda field=field, asked=asked: _column(field, asked.get())):  # type: ignore[misc]
            yield field


def _column(field: models.Field[Any, Any], value: Any) -> None:
    _sound(field, value)
    _shaped(field.name, value)
    if field.choices and value not in dict(field.flatchoices):
        raise ValueError(field.name)


def _finite(row: models.Model) -> None:
    """Raise ValueError or TypeError for a value of a row that no column of its kind can have."""
    for field in row._meta.concrete_fields:
        _sound(field, getattr(row, field.attname))


def _shaped(name: str, value: Any) -> None:
    """Raise for a list or document of an enquiry in which something else stands than the desk writes."""
    if name in ("categories", "markets"):
        "".join(value)
    elif name == "asked":
        for one in value:
            _counts(one["parts"], one["name"])
    elif name == "tried":
        _counts(value)


def _counts(parts: dict[str, int], name: str = "") -> None:
    """Raise TypeError for shares that are none."""
    sum(parts.values())
    "".join([name, *parts])


def _sound(field: models.Field[Any, Any], value: Any) -> None:
    if isinstance(field, models.FloatField | models.IntegerField) and value is not None:
        if isinstance(value, str) or not math.isfinite(value):
            raise ValueError(field.name)
        for limits in field.validators:
            if isinstance(limits, Within):
                limits(value)
    if isinstance(field, models.JSONField) and field.default in (list, dict) and not isinstance(value, field.default):
        raise TypeError(field.name)
    if isinstance(field, models.CharField) and field.max_length and len(value or "") > field.max_length:
        raise ValueError(field.name)
