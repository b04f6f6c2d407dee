"""Records into rows and rows into records, one pair for each record. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Any, TypeVar

from django.db import models, transaction

from gristwright.basics import Address, Problem, Refused, Standing, at
from gristwright.records import lot as lots
from gristwright.records.bill import Bill, Share
from gristwright.records.cask import CaskKind, Climate
from gristwright.records.enquiry import CaskPlan, Enquiry, Group, Limits, Offered
from gristwright.records.plant import (
    ColumnDoubler,
    CookerPlan,
    MashPlan,
    Plant,
    PlantRecord,
    PotStills,
    Rest,
    Washbacks,
    Water,
)
from gristwright.reference.typeface import fault_in
from gristwright.store import aged
from gristwright.store.columns import Written
from gristwright.store.models import AnalysisRow, BillShare, Cask, EnquiryRow, House, LotGroup, LotRow, OfferedLot

R = TypeVar("R")
Columns = Mapping[str, str]

# Where a column is not called as the record's field is.
OF_WASHBACKS = {
    "count": "washbacks", "volume_L": "washback_volume_L", "hours": "ferment_hours", "cooling": "washback_cooling",
}  # fmt: skip
OF_CLIMATE = {"name": "climate", "source": "climate_source", "standing": "climate_standing"}
OF_KIND = {"name": "kind"}
OF_RECORD = {name: f"record_{name}" for name in ("mean_lpa_per_t", "sd_lpa_per_t", "mashes")}
OF_COOKER = {f.name: f"cooker_{f.name}" for f in fields(CookerPlan)}
# What documents print of a lot; where it stood may be a sheet by any name.
PRINTED = ("lot_id", "supplier", "lot_number")
WATERS = ("first", "second", "third", "fourth")
# Of each water and each rest the columns of its two numbers.
OF_WATERS = {name: (f"water_{name}_L_per_kg", f"water_{name}_degC") for name in WATERS}
OF_RESTS = {number: (f"rest_{number}_degC", f"rest_{number}_min") for number in range(1, 7)}
NESTED = {
    "plant", "present", "offered", "groups", "limits", "cask", "record", "mash", "washbacks", "pot_stills", "column",
    "waters", "rests", "cooker", "kind", "climate", "release", "claim",
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


def missing(row: models.Model, where: Address, page: str, also: Sequence[str] = ()) -> list[Problem]:
    """What must be given and is not; `also` are columns that must be given in this case."""
    found = []
    for field in row._meta.concrete_fields:
        needed = field.name in also or (field.editable and not field.blank)
        if needed and getattr(row, field.attname) in (None, "", []):
            found.append(Problem(where.to(field.name), "is missing.", f"Fill it in under {page}."))
    return found + unprintable(row, where, page)


def unprintable(row: models.Model, where: Address, page: str, among: Sequence[str] = ()) -> list[Problem]:
    """Texts kept before they were looked at, which a document could not show; all, or only those `among`."""
    found = []
    for field in row._meta.concrete_fields:
        asked = isinstance(field, Written) and (not among or field.name in among)
        what = fault_in(str(getattr(row, field.attname))) if asked else ""
        if what:
            found.append(Problem(where.to(field.name), what, f"Change it under {page}."))
    return found


# The house


def house_columns(plant: Plant) -> dict[str, Any]:
    """A plant as the columns of a house. Raises Refused when it has more rests than there are columns."""
    stills = "pot stills" if plant.pot_stills else "column and doubler" if plant.column else "none"
    columns = columns_of(plant, leave=("mash", "washbacks", "pot_stills", "column"))
    columns |= mash_columns(plant.mash) | columns_of(plant.washbacks, OF_WASHBACKS)
    for part in (plant.pot_stills, plant.column):
        columns |= columns_of(part) if part else {}
    return {**columns, "stills": stills}


def mash_columns(plan: MashPlan) -> dict[str, Any]:
    """A mash plan as columns of a house. Raises Refused when it has more rests than there are columns."""
    if len(plan.rests) > len(OF_RESTS):
        what = f"{len(plan.rests)} are more than the {len(OF_RESTS)} that the desk keeps."
        raise Refused([Problem(at("plant", "mash", "rests"), what, "Join those that lie close together.")])
    columns = columns_of(plan, leave=("waters", "rests", "cooker"))
    for name, water in zip(WATERS, plan.waters, strict=False):
        columns |= dict(zip(OF_WATERS[name], (water.L_per_kg, water.settled_degC), strict=True))
    for names, rest in zip(OF_RESTS.values(), plan.rests, strict=False):
        columns |= dict(zip(names, (rest.settled_degC, rest.minutes), strict=True))
    return columns | (columns_of(plan.cooker, OF_COOKER) if plan.cooker else {})


def house_problems(house: House) -> list[Problem]:
    """What the house does not say yet."""
    charges = {"pot stills": ("wash_charge_L", "spirit_charge_L"), "column and doubler": ("beer_L_per_h",)}
    found = missing(house, at("house"), "House", charges.get(house.stills, ()))
    pairs = (("waters", "litres and temperature", OF_WATERS), ("rests", "temperature and minutes", OF_RESTS))
    for what, both, columns in pairs:
        if gaps(house, columns.values()):
            told = f"have a gap: each needs {both}, from the first on."
            found.append(Problem(at("house", what), told, "Fill them in or empty them under House."))
    return found


def gaps(house: House, columns: Iterable[tuple[str, str]]) -> list[str]:
    """Columns that are empty though the one beside it, or any later pair, is given."""
    found: list[str] = []
    later = False
    for pair in reversed(list(columns)):
        given = [getattr(house, name) is not None for name in pair]
        later = later or any(given)
        found += [name for name, there in zip(pair, given, strict=True) if later and not there]
    return found[::-1]


def plant_record(house: House) -> Plant:
    """A house as a plant."""
    return record_of(
        Plant,
        house,
        mash=mash_record(house),
        washbacks=record_of(Washbacks, house, OF_WASHBACKS),
        pot_stills=record_of(PotStills, house) if house.stills == "pot stills" else None,
        column=record_of(ColumnDoubler, house) if house.stills == "column and doubler" else None,
    )


def mash_record(house: House) -> MashPlan:
    """The mash plan of a house; pairs that are not given whole are left out."""
    waters = tuple(Water(name, *pair) for name, pair in _pairs(house, OF_WATERS))
    rests = tuple(Rest(*pair) for _, pair in _pairs(house, OF_RESTS))
    return record_of(MashPlan, house, waters=waters, rests=rests, cooker=cooker_record(house))


def _pairs(house: House, columns: Mapping[Any, tuple[str, str]]) -> Iterator[tuple[Any, tuple[float, float]]]:
    for key, (one, other) in columns.items():
        first, second = getattr(house, one), getattr(house, other)
        if first is not None and second is not None:
            yield key, (first, second)


def cooker_record(house: House) -> CookerPlan | None:
    """How the house cooks: there once anything is said of it; what is left empty is as usual."""
    said = {name: getattr(house, column) for name, column in OF_COOKER.items()}
    given: dict[str, Any] = {
        name: tuple(v) if isinstance(v, list) else v for name, v in said.items() if v not in (None, [])
    }
    return CookerPlan(**given) if given else None


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


def enquiry_columns(asked: Enquiry) -> dict[str, Any]:
    """An enquiry's own columns, with its limits and the plant's record."""
    columns = columns_of(asked, leave=tuple(NESTED)) | columns_of(asked.limits)
    if asked.record:
        columns |= columns_of(asked.record, OF_RECORD)
    return {**columns, "present_name": asked.present.name}


def enquiry_problems(row: EnquiryRow) -> list[Problem]:
    """Everything an enquiry, its house, its cask and its lots do not say yet."""
    found = missing(row, at("question"), "Question")
    found += house_problems(row.house) if hasattr(row, "house") else [_none("house", "House")]
    found += missing(row.cask, at("cask"), "Cask") if hasattr(row, "cask") else [_none("cask", "Cask")]
    for offer in row.offered.all():
        found += missing(offer, at("offered", offer.lot_id), "On offer")
    record = [getattr(row, column) is None for column in OF_RECORD.values()]
    if any(record) and not all(record):
        what = "is only partly given."
        found.append(Problem(at("present", "record"), what, "Give average, deviation and mashes under On offer."))
    found += [p for group in row.groups.all() for p in unprintable(group, at("group", group.name), "On offer")]
    found += [p for lot in row.lots.all() for p in unprintable(lot, at("lot", lot.lot_id), "Certificates", PRINTED)]
    if not row.offered.exists():
        found.append(Problem(at("lots"), "none is on offer.", "Read in certificates under Certificates."))
    return found + aged.release_problems(row)


def _none(row: str, page: str) -> Problem:
    return Problem(at(row), "nothing is said of it.", f"Fill in the page {page}.")


def enquiry_record(row: EnquiryRow) -> Enquiry:
    """The enquiry with house, cask, bill and offers. Raises Refused with everything that is missing."""
    problems = enquiry_problems(row)
    if problems:
        raise Refused(problems)
    return record_of(
        Enquiry,
        row,
        plant=plant_record(row.house),
        present=Bill(row.present_name, tuple(record_of(Share, share) for share in row.shares.all())),
        offered=tuple(record_of(Offered, offer) for offer in row.offered.all()),
        groups=tuple(record_of(Group, group) for group in row.groups.all()),
        limits=record_of(Limits, row),
        cask=cask_record(row.cask),
        record=record_of(PlantRecord, row, OF_RECORD) if row.record_mashes is not None else None,
        **aged.kept(row),
    )


@transaction.atomic
def save_enquiry(asked: Enquiry, given: Sequence[lots.Lot], owner: Any = None) -> EnquiryRow:
    """A new enquiry with everything that belongs to it, or nothing at all."""
    row = EnquiryRow.objects.create(owner=owner, **enquiry_columns(asked))
    House.objects.create(enquiry=row, **house_columns(asked.plant))
    Cask.objects.create(enquiry=row, **cask_columns(asked.cask))
    aged.save_parts(row, asked)
    children = ((BillShare, asked.present.shares), (OfferedLot, asked.offered), (LotGroup, asked.groups))
    for model, records in children:
        for place, record in enumerate(records):
            model.objects.create(enquiry=row, place=place, **columns_of(record))
    save_lots(row, given)
    return row


# The lots

LONGEST_NAME: int = LotRow._meta.get_field("lot_id").max_length


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
