"""A lot deleted from an enquiry, with everything that hangs on it named before and after. See docs/desk.md."""

from __future__ import annotations

from gristwright.documents.certificate import delivery_of
from gristwright.store.library import lot_record
from gristwright.store.models import EnquiryRow
from gristwright.workbench import undoing
from gristwright.workbench.hanging import delete_lot, hanging
from gristwright.workbench.turns import turn


@turn()
def delete(enquiry: EnquiryRow, name: str, who: str) -> str:
    """Delete a lot and what hangs on it; what was done, in a sentence. It can be undone."""
    named = enquiry.named.get(name=name)
    along, before = hanging(enquiry).told(str(named.pk)), undoing.standing(enquiry)
    told = f"{name} deleted{', with ' + '; '.join(along) if along else ''}."
    line = {"lot": name, "how": "deleted", "by": delivery_of(lot_record(named))}
    delete_lot(enquiry, named)
    undoing.record(enquiry, who, [told], before, lines=[line])
    return told
