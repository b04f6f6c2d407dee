"""Lots that come in no file: typed in, changed, or taken from another enquiry of this desk. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gristwright.documents.lots import lots_view
from gristwright.records.lot import Lot
from gristwright.store.library import lot_record, replace_lot
from gristwright.store.models import EnquiryRow
from gristwright.workbench import taking, undoing
from gristwright.workbench.hanging import call
from gristwright.workbench.turns import turn


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
    """A lot of another enquiry."""

    key: str
    enquiry: str
    lot: Lot
    type: str

    def has(self, words: Sequence[str]) -> bool:
        """Whether every word stands in what it is known by."""
        lot = self.lot
        said = f"{lot.lot_id} {lot.supplier} {lot.lot_number} {lot.crop or ''} {self.type} {self.enquiry}".casefold()
        return all(word in said for word in words)


def elsewhere(enquiry: EnquiryRow, find: str = "") -> tuple[Elsewhere, ...]:
    """The lots of the other enquiries of this desk, those that have every word of `find`."""
    others = EnquiryRow.objects.exclude(pk=enquiry.pk).prefetch_related("named__version")
    found = [
        Elsewhere(str(row.pk), str(other), lot, lots_view({lot.lot_id: lot.identity}).rows[0].type)
        for other in others
        for row in other.named.all()
        if row.version_id
        for lot in [lot_record(row)]
    ]
    words = find.casefold().split()
    return tuple(sorted((one for one in found if one.has(words)), key=lambda one: (one.lot.supplier, one.lot.lot_id)))


@turn()
def add_elsewhere(enquiry: EnquiryRow, chosen: Sequence[Elsewhere], said: Mapping[str, str], who: str) -> list[str]:
    """Take lots of other enquiries into this one, all or none. Raises Refused while something is not said of one."""
    titles = list(dict.fromkeys(one.enquiry for one in chosen))
    origin = f"“{titles[0]}”" if len(titles) == 1 else f"{len(titles)} enquiries"
    return list(taking.add_lots(enquiry, [one.lot for one in chosen], said, who, origin, taking.OTHER))
