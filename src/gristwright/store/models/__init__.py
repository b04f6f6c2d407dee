"""The tables. See docs/desk.md."""

from gristwright.store.models.ages import AgedCasks, Release
from gristwright.store.models.enquiries import BillShare, EnquiryRow, LotGroup, OfferedLot
from gristwright.store.models.houses import Cask, House
from gristwright.store.models.lots import AnalysisRow, CertificateFile, LotRow
from gristwright.store.models.work import Answer, Job, MashTrial

__all__ = [
    "AgedCasks",
    "AnalysisRow",
    "Answer",
    "BillShare",
    "Cask",
    "CertificateFile",
    "EnquiryRow",
    "House",
    "Job",
    "LotGroup",
    "LotRow",
    "MashTrial",
    "OfferedLot",
    "Release",
]
