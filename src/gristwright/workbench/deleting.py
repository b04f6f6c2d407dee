"""A lot deleted from an enquiry, with everything that hangs on it named before and after. See docs/desk.md."""

from __future__ import annotations

from gristwright.documents.certificate import delivery_of
from gristwright.store.mapping import lot_records, save_lots
from gristwright.store.models import EnquiryRow
from gristwright.workbench import lot_data, undoing
from gristwright.workbench.turns import turn


@turn()
def delete(enquiry: EnquiryRow, name: str, who: str) -> str:
    """Delete a lot and what hangs on it; what was done, in a sentence. It can be undone."""
    along, gone = lot_data.hanging(enquiry).told(name), undoing.going(enquiry, [name])
    kept = lot_records(enquiry)
    delivery = next(delivery_of(lot) for lot in kept if lot.lot_id == name)
    told = f"{name} deleted{', with ' + '; '.join(along) if along else ''}."
    save_lots(enquiry, [lot for lot in kept if lot.lot_id != name])
    lot_data.taken_off(enquiry, name)
    undoing.record(enquiry, who, [told], went=gone, lines=[{"lot": name, "how": "deleted", "by": delivery}])
    return told
