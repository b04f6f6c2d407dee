"""The tables. See docs/desk.md."""

from gristwright.store.models.ages import AgedCasks, Release
from gristwright.store.models.enquiries import BillShare, Enquiry, LotGroup, OfferedLot
from gristwright.store.models.houses import Cask, House
from gristwright.store.models.lots import Analysis, CertificateFile, Lot
from gristwright.store.models.work import Answer, Job, MashTrial

__all__ = [
    "AgedCasks",
    "Analysis",
    "Answer",
    "BillShare",
    "Cask",
    "CertificateFile",
    "Enquiry",
    "House",
    "Job",
    "Lot",
    "LotGroup",
    "MashTrial",
    "OfferedLot",
    "Release",
]
