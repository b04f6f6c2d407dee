"""The lots that the desk knows, each certificate of them once, and the names they go by inside an enquiry.

See docs/desk.md.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib.auth.models import User
from django.db import models, transaction

from gristwright.basics import Address, Standing
from gristwright.records.lot import Analysis, Lot
from gristwright.store.frozen import sha256_of
from gristwright.store.models import EnquiryRow, LotRow, LotVersion, NamedLot, OfferedLot
from gristwright.store.versions import fetched

# What is said once of every value of a lot.
OF_ANALYSIS = ("field", "value", "unit", "basis", "method")
OF_LOT = ("material", "supplier", "lot_number", "crop", "certificate")


def lot_document(lot: Lot) -> dict[str, Any]:
    """What a certificate says of a lot as plain values; the name it goes by in an enquiry is no part of it."""
    return {name: getattr(lot, name) for name in OF_LOT} | {
        "where": lot.where.as_data(),
        "analyses": [
            {name: getattr(one, name) for name in OF_ANALYSIS}
            | {"standing": one.standing.value, "where": one.where.as_data()}
            for one in lot.analyses
        ],
    }


def lot_of(name: str, document: Mapping[str, Any]) -> Lot:
    """The lot of a document under a name."""
    analyses = tuple(
        Analysis(
            **{key: one[key] for key in OF_ANALYSIS},
            standing=Standing(one["standing"]),
            where=Address.of(one["where"]),
        )
        for one in document["analyses"]
    )
    said = {key: document[key] for key in OF_LOT}
    return Lot(name, **said, analyses=analyses, where=Address.of(document["where"]))


def identity_key(lot: Lot) -> str | None:
    """What the trade knows a lot by, without regard to capitals and spaces; None where no lot number is said."""
    if not lot.lot_number:
        return None
    return "|".join(" ".join(part.split()).casefold() for part in (lot.supplier, lot.lot_number, str(lot.crop or "")))


@transaction.atomic
def version_of(lot: Lot, by: User | None = None) -> LotVersion:
    """The version that says what this lot says: the one that is kept, or another one."""
    document = lot_document(lot)
    digest = sha256_of(document)
    kept = LotVersion.objects.filter(digest=digest).first()
    if kept is not None:
        return kept
    key = identity_key(lot)
    identity = {"supplier": lot.supplier, "lot_number": lot.lot_number, "crop": lot.crop}
    known = LotRow.objects.filter(key=key).first() if key else None
    row = known or LotRow.objects.create(key=key, **identity)
    last = row.versions.aggregate(last=models.Max("number"))["last"] or 0
    return LotVersion.objects.create(lot=row, number=last + 1, digest=digest, document=document, by=by)


def name_lot(enquiry: EnquiryRow, name: str) -> NamedLot:
    """The name in an enquiry, made behind the others when it is new."""
    kept = NamedLot.objects.filter(enquiry=enquiry, name=name).first()
    return kept or NamedLot.objects.create(enquiry=enquiry, name=name, place=_next_place(enquiry))


def _next_place(enquiry: EnquiryRow) -> int:
    last = enquiry.named.aggregate(last=models.Max("place"))["last"]
    return 0 if last is None else last + 1


@transaction.atomic
def save_lots(enquiry: EnquiryRow, given: Sequence[Lot], by: User | None = None) -> None:
    """These lots in place of the ones before, or no change at all. Raises ValueError for two of one name."""
    names = [lot.lot_id for lot in given]
    if len(set(names)) < len(names):
        raise ValueError("two lots of one name")
    for gone in enquiry.named.exclude(name__in=names):
        _point(gone, None)
    for place, lot in enumerate(given):
        _point(name_lot(enquiry, lot.lot_id), version_of(lot, by), place)
    enquiry.named.filter(version=None, offers=None, shares=None).delete()


def add_lot(enquiry: EnquiryRow, lot: Lot, name: str, by: User | None = None) -> None:
    """One lot more, after the others, under a name that none of them has."""
    _point(name_lot(enquiry, name), version_of(lot, by))


def replace_lot(enquiry: EnquiryRow, name: str, lot: Lot, by: User | None = None) -> None:
    """A lot in place of the one of that name, which it takes over, for bills and offers know it by that."""
    _point(enquiry.named.get(name=name), version_of(lot, by))


def _point(named: NamedLot, version: LotVersion | None, place: int | None = None) -> None:
    at = named.place if place is None else place
    if (named.version_id, named.place) == (version and version.pk, at):
        return
    named.version, named.place = version, at
    named.save(update_fields=["version", "place"])


@transaction.atomic
def remove_lot(enquiry: EnquiryRow, name: str) -> None:
    """A lot taken out of an enquiry with its offer, its share of today's bill, and its part in groups."""
    named = enquiry.named.get(name=name)
    for group in enquiry.groups.all():
        if str(named.pk) in group.keys:
            group.keys = [key for key in group.keys if key != str(named.pk)]
            group.save(update_fields=["keys"])
    named.delete()


def offer_lot(enquiry: EnquiryRow, name: str, **said: Any) -> OfferedLot:
    """A lot put on offer, after the others, unless it is; the row of it."""
    named = name_lot(enquiry, name)
    kept = enquiry.offered.filter(named=named).first()
    return kept or OfferedLot.objects.create(enquiry=enquiry, named=named, place=enquiry.offered.count(), **said)


def lot_records(enquiry: EnquiryRow) -> tuple[Lot, ...]:
    """The lots of an enquiry with their certificates."""
    return tuple(lots_by_key(enquiry).values())


def lots_by_key(enquiry: EnquiryRow) -> dict[uuid.UUID, Lot]:
    """The same by the key that stays when a lot is given another name."""
    kept = enquiry.named.all() if fetched(enquiry, "named") else enquiry.named.select_related("version")
    return {named.pk: lot_record(named) for named in kept if named.version is not None}


def lot_record(named: NamedLot) -> Lot:
    """A lot with its certificate, under its name. Raises ValueError for one that is named only."""
    if named.version is None:
        raise ValueError(f"{named.name} has no certificate")
    return lot_of(named.name, named.version.document)


def lot_names(enquiry: EnquiryRow) -> tuple[str, ...]:
    """The names of the lots that have a certificate."""
    return tuple(enquiry.named.exclude(version=None).values_list("name", flat=True))
