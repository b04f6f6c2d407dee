"""Lots that come in no file: typed in, changed, or taken from another enquiry of this desk. See docs/desk.md."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from django.db.models import BooleanField, Case, CharField, F, Func, When
from django.db.models.fields.json import KeyTextTransform

from gristwright.basics import Problem, at, refuse_if_any
from gristwright.documents.lots import type_title
from gristwright.records.lot import Lot
from gristwright.store.library import lot_record, replace_lot
from gristwright.store.models import EnquiryRow, NamedLot
from gristwright.workbench import taking, undoing
from gristwright.workbench.hanging import call
from gristwright.workbench.turns import turn

TWINS = "Take one of them first, then the other: the desk asks then what to call it."


@turn()
def add_typed(enquiry: EnquiryRow, lot: Lot, said: Mapping[str, str], who: str) -> tuple[str, ...]:
    """A lot more, as it was typed; of one that is here already it is asked. Raises Refused while that is not said."""
    return taking.add_lots(enquiry, [lot], said, who, "the form", taking.FORM)


@turn()
def change(enquiry: EnquiryRow, before: Lot, lot: Lot, who: str) -> str:
    """A lot as it was typed over, under its new name where it was given one; what was done, in a sentence."""
    old, new = before.lot_id, lot.lot_id
    differs, stood = taking.Here(before, lot, taking.FORM).changed, undoing.standing(enquiry)
    replace_lot(enquiry, old, lot)
    if new != old:
        call(enquiry.named.get(name=old), new)
    called = f", now called {new}" if new != old else ""
    told = f"{old} changed{called}. {differs}".strip()
    line = {"lot": old, "how": "changed", "by": f"{called.removeprefix(', ')} {differs}".strip() or "the form"}
    undoing.record(enquiry, who, [told], stood, lines=[line])
    return told


@dataclass(frozen=True)
class Elsewhere:
    """A lot of another enquiry, by what it is known by."""

    key: uuid.UUID
    enquiry: str
    name: str
    supplier: str
    lot_number: str
    crop: str
    type: str

    def has(self, words: Sequence[str]) -> bool:
        """Whether every word stands in what it is known by."""
        said = " ".join(map(str, (self.name, self.supplier, self.lot_number, self.crop, self.type, self.enquiry)))
        return all(word in said.casefold() for word in words)


# A certificate that cannot be read is no reason not to show the others.
_WHOLE = Func(F("version__document"), function="json_valid", output_field=BooleanField())
MATERIAL = Case(When(_WHOLE, then=KeyTextTransform("material", "version__document")), output_field=CharField())


def elsewhere(enquiry: EnquiryRow, find: str = "") -> list[Elsewhere]:
    """The lots of the other enquiries of this desk, those that have every word of `find`."""
    others = NamedLot.objects.filter(enquiry__binned_at=None).exclude(version=None).exclude(enquiry_id=enquiry.pk)
    found = others.annotate(material=MATERIAL).exclude(material=None).values_list(
        "pk", "enquiry__title", "name", "version__lot__supplier", "version__lot__lot_number", "version__lot__crop",
        "material",
    ).order_by("version__lot__supplier", "name")  # fmt: skip
    types = cache(type_title)
    words = find.casefold().split()
    known = (
        Elsewhere(key, title or str(EnquiryRow()), name, supplier, number, str(crop or ""), types(material))
        for key, title, name, supplier, number, crop, material in found
    )
    return [one for one in known if one.has(words)]


@turn()
def add_elsewhere(enquiry: EnquiryRow, chosen: Sequence[Elsewhere], said: Mapping[str, str], who: str) -> list[str]:
    """Take lots of other enquiries into this one, all or none. Raises Refused while something is not said of one."""
    lots = lots_of(chosen)
    named = Counter(lot.lot_id for lot in lots)
    what = "is chosen from two enquiries."
    twins = [Problem(at("lots", name), f"“{name}” {what}", TWINS) for name, times in named.items() if times > 1]
    refuse_if_any(twins)
    titles = list(dict.fromkeys(one.enquiry for one in chosen))
    origin = f"“{titles[0]}”" if len(titles) == 1 else f"{len(titles)} enquiries"
    return list(taking.add_lots(enquiry, lots, said, who, origin, taking.OTHER))


def lots_of(chosen: Sequence[Elsewhere]) -> list[Lot]:
    """The lots themselves, with their certificates. Raises Refused for one whose certificate cannot be read."""
    lots, problems = [], []
    for one in chosen:
        try:
            lots.append(lot_record(NamedLot.objects.select_related("version").get(pk=one.key)))
        except (KeyError, TypeError, ValueError, NamedLot.DoesNotExist):
            problems.append(Problem(at("lots", one.name), "cannot be read any more.", "Choose the others alone."))
    refuse_if_any(problems)
    return lots
