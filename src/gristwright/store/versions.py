"""The house and the cask of an enquiry as documents: the newest, another one, and what of it cannot be used yet.

See docs/desk.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import zip_longest
from typing import Any, TypeVar, cast

from django.contrib.auth.models import User
from django.db import models, transaction

from gristwright.basics import FieldPath, Problem, Refused, at
from gristwright.files.plant_in import cask_of, plant_of
from gristwright.files.record_in import MISSING
from gristwright.records.enquiry import CaskPlan
from gristwright.records.plant import Plant
from gristwright.store.models import CaskVersion, EnquiryRow, House, PlantVersion

V = TypeVar("V", PlantVersion, CaskVersion)
Document = Mapping[str, Any]
# Tables whose fields are asked for one by one while nothing is said of them.
UNSAID_PLANT: Document = {"mash": {}, "washbacks": {}}


def newest(kind: type[V], enquiry: EnquiryRow) -> dict[str, Any]:
    """The document that an enquiry stands on; empty where there is none."""
    row = standing(kind, enquiry)
    return dict(row.document) if row else {}


def standing(kind: type[V], enquiry: EnquiryRow) -> V | None:
    """The version that an enquiry stands on: of its cask the last, of its house the one it points at."""
    row = enquiry.plant if kind is PlantVersion else _last_cask(enquiry)
    return cast("V | None", row)


def _last_cask(enquiry: EnquiryRow) -> CaskVersion | None:
    casks = enquiry.casks.all()
    return max(casks, key=lambda cask: cask.number, default=None) if fetched(enquiry, "casks") else casks.last()


def fetched(row: models.Model, name: str) -> bool:
    """Whether the rows behind a name came with this one, so that they need not be asked for."""
    return name in getattr(row, "_prefetched_objects_cache", {})


@transaction.atomic
def keep(kind: type[V], enquiry: EnquiryRow, document: Document, by: User | None = None) -> bool:
    """Another version, unless it says what the enquiry stands on; whether there is one more."""
    last = standing(kind, enquiry)
    if last is not None and last.document == document:
        return False
    if kind is PlantVersion:
        house = enquiry.plant.house if enquiry.plant else House.objects.create(owner=by)
        point_at(enquiry, PlantVersion.objects.create(house=house, **_next(house.versions, document, by)))
    else:
        CaskVersion.objects.create(enquiry=enquiry, **_next(enquiry.casks, document, by))
    return True


def _next(kept: Any, document: Document, by: User | None) -> dict[str, Any]:
    number = kept.aggregate(last=models.Max("number"))["last"] or 0
    return {"number": number + 1, "document": dict(document), "by": by}


def point_at(enquiry: EnquiryRow, version: PlantVersion) -> None:
    """Let an enquiry stand on a version of a house. Not through save(): its history is that of the house."""
    enquiry.plant = version
    EnquiryRow.objects.filter(pk=enquiry.pk).update(plant=version)


def later_plant(enquiry: EnquiryRow) -> PlantVersion | None:
    """The newest version of the house where the enquiry stands on an earlier one; None where it is the newest."""
    if enquiry.plant is None:
        return None
    return enquiry.plant.house.versions.filter(number__gt=enquiry.plant.number).last()


def plant_problems(document: Document, distils: bool = True) -> list[Problem]:
    """What a house does not say yet, and what in it cannot stand together."""
    problems: list[Problem] = []
    plant_of({**UNSAID_PLANT, **document}, at("plant"), problems, distils)
    return under("House", problems)


def cask_problems(document: Document) -> list[Problem]:
    """What a cask does not say yet, and what cannot be."""
    problems: list[Problem] = []
    cask_of(document, at("cask"), problems)
    return under("Cask", problems)


def under(page: str, problems: list[Problem]) -> list[Problem]:
    """Problems with the page of the desk on which what is missing is filled in."""
    way_out = f"Fill it in under {page}."
    return [replace(one, way_out=way_out) if one.what == MISSING else one for one in problems]


def plant_record(enquiry: EnquiryRow) -> Plant:
    """The house as it was kept last. Raises Refused where it cannot be used yet."""
    problems: list[Problem] = []
    plant = plant_of({**UNSAID_PLANT, **newest(PlantVersion, enquiry)}, at("plant"), problems, not enquiry.brews)
    if problems:
        raise Refused(problems)
    return plant


def cask_record(enquiry: EnquiryRow) -> CaskPlan:
    """The cask as it was kept last. Raises Refused where it cannot be used yet."""
    problems: list[Problem] = []
    plan = cask_of(newest(CaskVersion, enquiry), at("cask"), problems)
    if problems:
        raise Refused(problems)
    return plan


def differences(old: Any, new: Any, path: FieldPath = ()) -> Iterator[tuple[FieldPath, Any, Any]]:
    """Where two documents differ, value by value: path, before, after; items of a list count from 1."""
    if isinstance(old, dict) or isinstance(new, dict):
        before, after = (one if isinstance(one, dict) else {} for one in (old, new))
        for key in dict.fromkeys([*before, *after]):
            yield from differences(before.get(key), after.get(key), (*path, key))
    elif _tables(old) or _tables(new):
        for number, (was, now) in enumerate(zip_longest(old or [], new or []), start=1):
            yield from differences(was, now, (*path, number))
    elif old != new:
        yield path, old, new


def _tables(value: Any) -> bool:
    return isinstance(value, list) and any(isinstance(one, dict) for one in value)
