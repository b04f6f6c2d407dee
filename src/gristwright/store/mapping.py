"""Records into rows and rows into records, one pair for each record. See docs/desk.md."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.db import models, transaction

from gristwright.basics import Address, Problem, Refused, at
from gristwright.files.plant_in import cask_data, plant_data
from gristwright.records.bill import Bill, Share, shares_named
from gristwright.records.enquiry import Enquiry, Group, Limits, Offered, SpiritEnquiry
from gristwright.records.lot import Lot
from gristwright.records.plant import PlantRecord
from gristwright.reference.typeface import fault_in
from gristwright.store import aged, versions
from gristwright.store.asked import asked_problems
from gristwright.store.columns import Written
from gristwright.store.library import lot_records, name_lot, save_lots
from gristwright.store.models import BillShare, CaskVersion, Customer, EnquiryRow, LotGroup, OfferedLot, PlantVersion

R = TypeVar("R")
Columns = Mapping[str, str]

# Where a column is not called as the record's field is.
OF_RECORD = {name: f"record_{name}" for name in ("mean_lpa_per_t", "sd_lpa_per_t", "mashes")}
# What documents print of a lot; where it stood may be a sheet by any name.
PRINTED = ("lot_id", "supplier", "lot_number")
NESTED = {
    "customer",
    "plant",
    "present",
    "asked",
    "offered",
    "groups",
    "limits",
    "cask",
    "record",
    "release",
    "claim",
    "dose",
}


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


def _unprintable_customer(row: EnquiryRow) -> list[Problem]:
    """A customer kept before names were looked at."""
    what = fault_in(str(row.customer or ""))
    return [Problem(at("question", "customer"), what, "Change it under Question.")] if what else []


def _unprintable_lot(lot: Lot) -> list[Problem]:
    """What of a lot's name, supplier and number a document could not show."""
    faults = ((name, fault_in(str(getattr(lot, name)))) for name in PRINTED)
    where = at("lot", lot.lot_id)
    return [Problem(where.to(name), what, "Change it under Lots.") for name, what in faults if what]


# The enquiry


def enquiry_columns(asked: Enquiry) -> dict[str, Any]:
    """An enquiry's own columns, with its limits and the plant's record."""
    columns = columns_of(asked, leave=tuple(NESTED)) | columns_of(asked.limits)
    if asked.record:
        columns |= columns_of(asked.record, OF_RECORD)
    return {**columns, "present_name": asked.present.name}


def enquiry_problems(row: EnquiryRow) -> list[Problem]:
    """Everything an enquiry, its house, its cask, its lots and the bills asked about do not say yet."""
    return spirit_problems(row) + cask_problems(row) + asked_problems(row)


def cask_problems(row: EnquiryRow) -> list[Problem]:
    """What is not said yet of the cask, and of what comes after it; a brewer has none."""
    if row.brews:
        return []
    return versions.cask_problems(versions.newest(CaskVersion, row)) + aged.release_problems(row)


def spirit_problems(row: EnquiryRow) -> list[Problem]:
    """What is not said yet and is needed as far as new spirit, or beer."""
    problems = missing(row, at("question"), "Question") + _unprintable_customer(row)
    problems += versions.plant_problems(versions.newest(PlantVersion, row), not row.brews)
    offered = list(row.offered.all())
    for offer in offered:
        problems += missing(offer, at("offered", offer.lot_id), "On offer")
    problems += [] if row.brews else _record_problems(row)
    problems += [p for group in row.groups.all() for p in unprintable(group, at("group", group.name), "On offer")]
    problems += [p for lot in lot_records(row) for p in _unprintable_lot(lot)]
    if not offered:
        problems.append(Problem(at("lots"), "none is on offer.", "Read in certificates under Lots."))
    return problems


def _record_problems(row: EnquiryRow) -> list[Problem]:
    """The litres of the house's own average, which are asked of a distiller alone."""
    record = [getattr(row, column) is None for column in OF_RECORD.values()]
    if all(record) or not any(record):
        return []
    what = "is only partly given."
    return [Problem(at("present", "record"), what, "Give average, deviation and mashes under On offer.")]


def enquiry_record(row: EnquiryRow) -> Enquiry:
    """The enquiry with house, cask, bill and offers. Raises Refused with everything that is missing."""
    refuse_any(enquiry_problems(row))
    return dataclasses.replace(_whole(row), asked=asked_records(row))


def tried_record(row: EnquiryRow) -> Enquiry:
    """The same for a bill that is tried, which waits for none that is asked about."""
    refuse_any(spirit_problems(row) + cask_problems(row))
    return _whole(row)


def _whole(row: EnquiryRow) -> Enquiry:
    after = OF_BEER if row.brews else {"cask": versions.cask_record(row), **aged.kept(row)}
    return record_of(Enquiry, row, **(_parts(row) | after))


def spirit_record(row: EnquiryRow) -> SpiritEnquiry:
    """A bill tried as far as new spirit, whatever is said of a cask. Raises Refused with everything that is missing."""
    refuse_any(spirit_problems(row))
    return record_of(SpiritEnquiry, row, **_parts(row), release=None, dose=None)


def refuse_any(problems: list[Problem]) -> None:
    """Raise Refused where there is any problem."""
    if problems:
        raise Refused(problems)


# What may stand in the rows of a brewer's enquiry that was a distiller's before is kept there and not asked.
OF_BEER: dict[str, Any] = {"cask": None, "release": None, "claim": None, "dose": None}


def _parts(row: EnquiryRow) -> dict[str, Any]:
    """What an enquiry's record holds that stands in other tables, but for the cask and what comes after it."""
    said = row.record_mashes is not None and not row.brews
    return {
        "customer": str(row.customer or ""),
        "plant": versions.plant_record(row),
        "present": Bill(row.present_name, tuple(record_of(Share, share) for share in row.shares.all())),
        "offered": tuple(record_of(Offered, offer) for offer in row.offered.all()),
        "groups": group_records(row),
        "asked": (),
        "limits": _limits(row),
        "record": record_of(PlantRecord, row, OF_RECORD) if said else None,
        "categories": () if row.brews else tuple(row.categories),
        "markets": () if row.brews else tuple(row.markets),
    }


def _limits(row: EnquiryRow) -> Limits:
    """The limits of the work asked about; what was said of the other kind stays in the row."""
    said = record_of(Limits, row)
    return dataclasses.replace(said, **dict.fromkeys(said.said_of(brews=not row.brews)))


def group_records(row: EnquiryRow) -> tuple[Group, ...]:
    """The bounds on several lots together, by the names of the lots."""
    groups = list(row.groups.all())
    names = lot_names_by_key(row) if groups else {}
    return tuple(
        record_of(Group, group, lot_ids=tuple(names[key] for key in group.keys if key in names)) for group in groups
    )


def asked_records(row: EnquiryRow) -> tuple[Bill, ...]:
    """The bills asked about, by the names of the lots; a lot that is gone leaves them (see `asked_problems`)."""
    names = lot_names_by_key(row) if row.asked else {}
    bills = []
    for one in row.asked:
        shares = tuple(Share(names[key], parts) for key, parts in one["parts"].items() if key in names)
        bills.append(Bill(one["name"] or shares_named(shares), shares))
    return tuple(bills)


def keep_asked(row: EnquiryRow, bills: Sequence[Bill]) -> None:
    """Keep the bills asked about by the keys of their lots; a name that only says the shares follows them."""
    row.asked = [
        {
            "name": "" if bill.name == shares_named(bill.shares) else bill.name,
            "parts": {str(name_lot(row, share.lot_id).pk): share.parts for share in bill.shares},
        }
        for bill in bills
    ]
    row.save(update_fields=["asked"])


def lot_names_by_key(row: EnquiryRow) -> dict[str, str]:
    """The name of every lot of an enquiry, by the key that groups keep."""
    return {str(named.pk): named.name for named in row.named.all()}


def customer_named(name: str) -> Customer | None:
    """The customer of a name, made when it is new; none for no name."""
    return Customer.objects.get_or_create(name=name)[0] if name else None


@transaction.atomic
def save_enquiry(asked: Enquiry, given: Sequence[Lot], owner: User | None = None) -> EnquiryRow:
    """A new enquiry with everything that belongs to it, or nothing at all."""
    row = EnquiryRow.objects.create(owner=owner, customer=customer_named(asked.customer), **enquiry_columns(asked))
    versions.keep(PlantVersion, row, plant_data(asked.plant), owner)
    versions.keep(CaskVersion, row, cask_data(asked.cask) if asked.cask else {}, owner)
    aged.save_parts(row, asked)
    save_lots(row, given, owner)
    for place, offer in enumerate(asked.offered):
        said = columns_of(offer, leave=("lot_id",))
        OfferedLot.objects.create(enquiry=row, named=name_lot(row, offer.lot_id), place=place, **said)
    for place, share in enumerate(asked.present.shares):
        BillShare.objects.create(enquiry=row, named=name_lot(row, share.lot_id), place=place, parts=share.parts)
    if asked.asked:
        keep_asked(row, asked.asked)
    for place, group in enumerate(asked.groups):
        keys = [str(name_lot(row, name).pk) for name in group.lot_ids]
        LotGroup.objects.create(enquiry=row, place=place, keys=keys, **columns_of(group, leave=("lot_ids",)))
    return row
