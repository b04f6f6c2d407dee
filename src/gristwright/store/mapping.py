"""Records into rows and rows into records, one pair for each record. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.db import models, transaction

from gristwright.basics import Address, Problem, Refused, Standing, at
from gristwright.files.plant_in import cask_data, plant_data
from gristwright.records import lot as lots
from gristwright.records.bill import Bill, Share
from gristwright.records.enquiry import Enquiry, Group, Limits, Offered
from gristwright.records.plant import PlantRecord
from gristwright.reference.typeface import fault_in
from gristwright.store import aged, versions
from gristwright.store.columns import Written
from gristwright.store.models import (
    AnalysisRow,
    BillShare,
    CaskVersion,
    EnquiryRow,
    LotGroup,
    LotRow,
    OfferedLot,
    PlantVersion,
)

R = TypeVar("R")
Columns = Mapping[str, str]

# Where a column is not called as the record's field is.
OF_RECORD = {name: f"record_{name}" for name in ("mean_lpa_per_t", "sd_lpa_per_t", "mashes")}
# What documents print of a lot; where it stood may be a sheet by any name.
PRINTED = ("lot_id", "supplier", "lot_number")
NESTED = {"plant", "present", "offered", "groups", "limits", "cask", "record", "release", "claim"}


def columns_of(record: Any, called: Columns | None = None, leave: Sequence[str] = ()) -> dict[str, Any]:
    """The plain fields of a record as columns; tuples become lists."""
    named = called or {}
    columns = {f.name: getattr(record, f.name) for f in fields(record) if f.name not in leave}
    return {named.get(key, key): list(v) if isinstance(v, tuple) else v for key, v in columns.items()}


def record_of(kind: type[R], row: models.Model, called: Columns | None = None, /, **given: Any) -> R:
    """A record from the columns of a row; what is `given` is not looked up. Lists become tuples."""
    named = called or {}
    names = [f.name for f in fields(kind) if f.name not in given]  # type: ignore[arg-type]
    said = {name: getattr(row, named.get(name, name)) for name in names}
    return kind(**{key: tuple(v) if isinstance(v, list) else v for key, v in said.items()}, **given)


def missing(row: models.Model, where: Address, page: str) -> list[Problem]:
    """What must be given and is not."""
    problems = []
    for field in row._meta.concrete_fields:
        needed = field.editable and not field.blank
        if needed and getattr(row, field.attname) in (None, "", []):
            problems.append(Problem(where.to(field.name), "is missing.", f"Fill it in under {page}."))
    return problems + unprintable(row, where, page)


def unprintable(row: models.Model, where: Address, page: str, among: Sequence[str] = ()) -> list[Problem]:
    """Texts kept before they were looked at, which a document could not show; all, or only those `among`."""
    problems = []
    for field in row._meta.concrete_fields:
        asked = isinstance(field, Written) and (not among or field.name in among)
        what = fault_in(str(getattr(row, field.attname))) if asked else ""
        if what:
            problems.append(Problem(where.to(field.name), what, f"Change it under {page}."))
    return problems


# The enquiry


def enquiry_columns(asked: Enquiry) -> dict[str, Any]:
    """An enquiry's own columns, with its limits and the plant's record."""
    columns = columns_of(asked, leave=tuple(NESTED)) | columns_of(asked.limits)
    if asked.record:
        columns |= columns_of(asked.record, OF_RECORD)
    return {**columns, "present_name": asked.present.name}


def enquiry_problems(row: EnquiryRow) -> list[Problem]:
    """Everything an enquiry, its house, its cask and its lots do not say yet."""
    problems = missing(row, at("question"), "Question")
    problems += versions.plant_problems(versions.newest(PlantVersion, row), not row.brews)
    if not row.brews:
        problems += versions.cask_problems(versions.newest(CaskVersion, row)) + _spirit_problems(row)
    for offer in row.offered.all():
        problems += missing(offer, at("offered", offer.lot_id), "On offer")
    problems += [p for group in row.groups.all() for p in unprintable(group, at("group", group.name), "On offer")]
    problems += [p for lot in row.lots.all() for p in unprintable(lot, at("lot", lot.lot_id), "Certificates", PRINTED)]
    if not row.offered.exists():
        problems.append(Problem(at("lots"), "none is on offer.", "Read in certificates under Certificates."))
    return problems


def _spirit_problems(row: EnquiryRow) -> list[Problem]:
    """What is asked of a distiller alone: the litres of the house's own average, prices at release."""
    problems = []
    record = [getattr(row, column) is None for column in OF_RECORD.values()]
    if any(record) and not all(record):
        what = "is only partly given."
        problems.append(Problem(at("present", "record"), what, "Give average, deviation and mashes under On offer."))
    return problems + aged.release_problems(row)


def enquiry_record(row: EnquiryRow) -> Enquiry:
    """The enquiry with house, cask, bill and offers. Raises Refused with everything that is missing."""
    problems = enquiry_problems(row)
    if problems:
        raise Refused(problems)
    return record_of(
        Enquiry,
        row,
        plant=versions.plant_record(row),
        present=Bill(row.present_name, tuple(record_of(Share, share) for share in row.shares.all())),
        offered=tuple(record_of(Offered, offer) for offer in row.offered.all()),
        groups=tuple(record_of(Group, group) for group in row.groups.all()),
        limits=record_of(Limits, row),
        **(NOT_OF_BEER if row.brews else _of_spirit(row)),
    )


# What may stand in the rows of a brewer's enquiry that was a distiller's before; it is kept there and not asked.
NOT_OF_BEER: dict[str, Any] = {"cask": None, "record": None, "release": None, "claim": None, "categories": ()}


def _of_spirit(row: EnquiryRow) -> dict[str, Any]:
    """What only a distiller is asked."""
    record = record_of(PlantRecord, row, OF_RECORD) if row.record_mashes is not None else None
    return {"cask": versions.cask_record(row), "record": record, **aged.kept(row)}


@transaction.atomic
def save_enquiry(asked: Enquiry, given: Sequence[lots.Lot], owner: User | None = None) -> EnquiryRow:
    """A new enquiry with everything that belongs to it, or nothing at all."""
    row = EnquiryRow.objects.create(owner=owner, **enquiry_columns(asked))
    versions.keep(PlantVersion, row, plant_data(asked.plant), owner)
    versions.keep(CaskVersion, row, cask_data(asked.cask) if asked.cask else {}, owner)
    aged.save_parts(row, asked)
    children = ((BillShare, asked.present.shares), (OfferedLot, asked.offered), (LotGroup, asked.groups))
    for model, records in children:
        for place, record in enumerate(records):
            model.objects.create(enquiry=row, place=place, **columns_of(record))
    save_lots(row, given)
    return row


# The lots


@transaction.atomic
def save_lots(row: EnquiryRow, given: Sequence[lots.Lot]) -> None:
    """These lots in place of the ones before, or no change at all."""
    row.lots.all().delete()
    for place, lot in enumerate(given):
        _save_lot(row, place, lot, lot.lot_id)


def add_lot(row: EnquiryRow, lot: lots.Lot, name: str) -> None:
    """One lot more, after the others, under a name that none of them has."""
    last = row.lots.aggregate(last=models.Max("place"))["last"]
    _save_lot(row, 0 if last is None else last + 1, lot, name)


@transaction.atomic
def replace_lot(row: EnquiryRow, name: str, lot: lots.Lot) -> None:
    """A lot in place of the one of that name, which it takes over, for bills and offers know it by that."""
    before = row.lots.get(lot_id=name)
    before.delete()
    _save_lot(row, before.place, lot, name)


def _save_lot(row: EnquiryRow, place: int, lot: lots.Lot, name: str) -> None:
    columns = columns_of(lot, leave=("analyses", "lot_id"))
    kept = LotRow.objects.create(enquiry=row, place=place, lot_id=name, **columns)
    AnalysisRow.objects.bulk_create(
        AnalysisRow(lot=kept, place=number, **{**columns_of(analysis), "standing": analysis.standing.value})
        for number, analysis in enumerate(lot.analyses)
    )


def lot_records(row: EnquiryRow) -> tuple[lots.Lot, ...]:
    """The lots of an enquiry with their certificates."""
    return tuple(lot_record(kept) for kept in row.lots.prefetch_related("analyses"))


def lot_record(kept: LotRow) -> lots.Lot:
    """A lot with its certificate."""
    analyses = tuple(
        record_of(lots.Analysis, analysis, standing=Standing(analysis.standing)) for analysis in kept.analyses.all()
    )
    return record_of(lots.Lot, kept, analyses=analyses)
