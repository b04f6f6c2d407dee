"""Records into rows and rows into records, one pair for each record. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any, TypeVar

from django.db import models, transaction

from gristwright.basics import Problem, Refused, Standing
from gristwright.records import lot as lots
from gristwright.records.bill import Bill, Share
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.enquiry import CaskPlan, Group, Limits, Offered
from gristwright.records.enquiry import Enquiry as EnquiryRecord
from gristwright.records.plant import ColumnDoubler, MashPlan, Plant, PlantRecord, PotStills, Washbacks, Water
from gristwright.store.models import Analysis, BillShare, Cask, Enquiry, House, Lot, LotGroup, OfferedLot

R = TypeVar("R")
Columns = Mapping[str, str]

# Where a column is not called as the record's field is.
OF_WASHBACKS = {"count": "washbacks", "volume_L": "washback_volume_L", "hours": "ferment_hours"}
OF_CLIMATE = {"name": "climate", "source": "climate_source", "standing": "climate_standing"}
OF_KIND = {"name": "kind"}
OF_RECORD = {name: f"record_{name}" for name in ("mean_lpa_per_t", "sd_lpa_per_t", "mashes")}
WATERS = ("first", "second", "third", "fourth")
NESTED = {
    "plant", "present", "offered", "groups", "limits", "cask", "record", "mash", "washbacks", "pot_stills", "column",
    "waters", "kind", "climate",
}  # fmt: skip


def columns_of(record: Any, called: Columns | None = None, leave: Sequence[str] = ()) -> dict[str, Any]:
    """The plain fields of a record as columns; tuples become lists."""
    named = called or {}
    found = {f.name: getattr(record, f.name) for f in fields(record) if f.name not in leave}
    return {named.get(key, key): list(v) if isinstance(v, tuple) else v for key, v in found.items()}


def record_of(kind: type[R], row: models.Model, called: Columns | None = None, /, **given: Any) -> R:
    """A record from the columns of a row; what is `given` is not looked up. Lists become tuples."""
    named = called or {}
    names = [f.name for f in fields(kind) if f.name not in given]  # type: ignore[arg-type]
    found = {name: getattr(row, named.get(name, name)) for name in names}
    return kind(**{key: tuple(v) if isinstance(v, list) else v for key, v in found.items()}, **given)


def missing(row: models.Model, where: str, page: str, also: Sequence[str] = ()) -> list[Problem]:
    """What must be given and is not; `also` are columns that must be given in this case."""
    found = []
    for field in row._meta.concrete_fields:
        needed = field.name in also or (field.editable and not field.blank)
        if needed and getattr(row, field.attname) in (None, "", []):
            label = str(field.verbose_name)
            found.append(Problem(f"{where}, {label.lower()}", "is missing.", f"Fill it in under {page}."))
    return found


# The house


def house_columns(plant: Plant) -> dict[str, Any]:
    """A plant as the columns of a house."""
    stills = "pot stills" if plant.pot_stills else "column and doubler" if plant.column else "none"
    columns = columns_of(plant, leave=("mash", "washbacks", "pot_stills", "column"))
    columns |= columns_of(plant.mash, leave=("waters",)) | columns_of(plant.washbacks, OF_WASHBACKS)
    for part in (plant.pot_stills, plant.column):
        columns |= columns_of(part) if part else {}
    for name, water in zip(WATERS, plant.mash.waters, strict=False):
        columns |= {f"water_{name}_L_per_kg": water.L_per_kg, f"water_{name}_degC": water.settled_degC}
    return {**columns, "stills": stills}


def house_problems(house: House) -> list[Problem]:
    """What the house does not say yet."""
    charges = {"pot stills": ("wash_charge_L", "spirit_charge_L"), "column and doubler": ("beer_L_per_h",)}
    found = missing(house, "house", "House", charges.get(house.stills, ()))
    given = [getattr(house, f"water_{name}_L_per_kg") is not None for name in WATERS]
    settled = [getattr(house, f"water_{name}_degC") is not None for name in WATERS]
    if given != settled or given != sorted(given, reverse=True):
        what = "have a gap: each needs litres and temperature, from the first on."
        found.append(Problem("house, waters", what, "Fill them in or empty them under House."))
    return found


def plant_record(house: House) -> Plant:
    """A house as a plant."""
    waters = tuple(
        Water(name, getattr(house, f"water_{name}_L_per_kg"), getattr(house, f"water_{name}_degC"))
        for name in WATERS
        if getattr(house, f"water_{name}_L_per_kg") is not None
    )
    return record_of(
        Plant,
        house,
        mash=record_of(MashPlan, house, waters=waters),
        washbacks=record_of(Washbacks, house, OF_WASHBACKS),
        pot_stills=record_of(PotStills, house) if house.stills == "pot stills" else None,
        column=record_of(ColumnDoubler, house) if house.stills == "column and doubler" else None,
    )


# The cask


def cask_columns(plan: CaskPlan) -> dict[str, Any]:
    """A cask plan as the columns of a cask."""
    climate = columns_of(plan.climate, OF_CLIMATE) | {"climate_standing": plan.climate.standing.value}
    return {**columns_of(plan, leave=("kind", "climate")), **columns_of(plan.kind, OF_KIND), **climate}


def cask_record(cask: Cask) -> CaskPlan:
    """A cask as a cask plan."""
    climate = record_of(Climate, cask, OF_CLIMATE, standing=Standing(cask.climate_standing))
    return record_of(CaskPlan, cask, kind=record_of(CaskKind, cask, OF_KIND), climate=climate)


# The enquiry


def enquiry_columns(asked: EnquiryRecord) -> dict[str, Any]:
    """An enquiry's own columns, with its limits and the plant's record."""
    columns = columns_of(asked, leave=tuple(NESTED)) | columns_of(asked.limits)
    if asked.record:
        columns |= columns_of(asked.record, OF_RECORD)
    return {**columns, "present_name": asked.present.name}


def enquiry_problems(row: Enquiry) -> list[Problem]:
    """Everything an enquiry, its house, its cask and its lots do not say yet."""
    found = missing(row, "question", "Question")
    found += house_problems(row.house) if hasattr(row, "house") else [_none("house", "House")]
    found += missing(row.cask, "cask", "Cask") if hasattr(row, "cask") else [_none("cask", "Cask")]
    for offer in row.offered.all():
        found += missing(offer, f"lot {offer.lot_id}", "On offer")
    record = [getattr(row, column) is None for column in OF_RECORD.values()]
    if any(record) and not all(record):
        what = "is only partly given."
        found.append(Problem("the house's own average", what, "Give average, deviation and mashes under On offer."))
    if not row.offered.exists():
        found.append(Problem("lots", "none is on offer.", "Read in certificates under Certificates."))
    return found


def _none(where: str, page: str) -> Problem:
    return Problem(where, "nothing is said of it.", f"Fill in the page {page}.")


def enquiry_record(row: Enquiry) -> EnquiryRecord:
    """The enquiry with house, cask, bill and offers. Raises Refused with everything that is missing."""
    problems = enquiry_problems(row)
    if problems:
        raise Refused(problems)
    return record_of(
        EnquiryRecord,
        row,
        plant=plant_record(row.house),
        present=Bill(row.present_name, tuple(record_of(Share, share) for share in row.shares.all())),
        offered=tuple(record_of(Offered, offer) for offer in row.offered.all()),
        groups=tuple(record_of(Group, group) for group in row.groups.all()),
        limits=record_of(Limits, row),
        cask=cask_record(row.cask),
        record=record_of(PlantRecord, row, OF_RECORD) if row.record_mashes is not None else None,
    )


@transaction.atomic
def save_enquiry(asked: EnquiryRecord, given: Sequence[lots.Lot], owner: Any = None) -> Enquiry:
    """A new enquiry with everything that belongs to it, or nothing at all."""
    row = Enquiry.objects.create(owner=owner, **enquiry_columns(asked))
    House.objects.create(enquiry=row, **house_columns(asked.plant))
    Cask.objects.create(enquiry=row, **cask_columns(asked.cask))
    children = ((BillShare, asked.present.shares), (OfferedLot, asked.offered), (LotGroup, asked.groups))
    for model, records in children:
        for place, record in enumerate(records):
            model.objects.create(enquiry=row, place=place, **columns_of(record))
    save_lots(row, given)
    return row


# The lots


@transaction.atomic
def save_lots(row: Enquiry, given: Sequence[lots.Lot]) -> None:
    """These lots in place of the ones before, or no change at all."""
    row.lots.all().delete()
    for place, lot in enumerate(given):
        kept = Lot.objects.create(enquiry=row, place=place, **columns_of(lot, leave=("analyses",)))
        Analysis.objects.bulk_create(
            Analysis(lot=kept, place=number, **{**columns_of(analysis), "standing": analysis.standing.value})
            for number, analysis in enumerate(lot.analyses)
        )


def lot_records(row: Enquiry) -> tuple[lots.Lot, ...]:
    """The lots of an enquiry with their certificates."""
    return tuple(lot_record(kept) for kept in row.lots.prefetch_related("analyses"))


def lot_record(kept: Lot) -> lots.Lot:
    """A lot with its certificate."""
    analyses = tuple(
        record_of(lots.Analysis, analysis, standing=Standing(analysis.standing)) for analysis in kept.analyses.all()
    )
    return record_of(lots.Lot, kept, analyses=analyses)
