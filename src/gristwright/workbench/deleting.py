"""A lot deleted from an enquiry, with everything that hangs on it named before and after; a certificate file deleted.

See docs/desk.md.
"""

from __future__ import annotations

from django.utils import timezone

from gristwright.documents.certificate import delivery_of
from gristwright.store.library import lot_record
from gristwright.store.models import CertificateFile, EnquiryRow, LotStep
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


@turn()
def delete_file(file: CertificateFile, who: str) -> str:
    """Delete a certificate file; its lots that were taken over stay, and so does what Changes says of them."""
    told = f"Certificates {file.name} deleted. Lots that were taken over from it stay."
    now = timezone.now()
    gone = {"what": f"Certificates {file.name}", "how": "deleted", "by": "", "who": who, "when": now.isoformat()}
    LotStep.objects.create(enquiry_id=file.enquiry_id, told=[told], lines=[*file.taken, gone], by=who, undone_at=now)
    file.delete()
    return told
