"""The tables. See docs/desk.md."""

from gristwright.store.models.ages import AgedCasks, Release
from gristwright.store.models.enquiries import BillShare, EnquiryRow, LotGroup, OfferedLot
from gristwright.store.models.houses import CaskVersion, PlantVersion
from gristwright.store.models.lots import AnalysisRow, CertificateFile, FileStanding, LotRow, LotStep, Remembered
from gristwright.store.models.work import Answer, Job, MashTrial

__all__ = [
    "AgedCasks",
    "AnalysisRow",
    "Answer",
    "BillShare",
    "CaskVersion",
    "CertificateFile",
    "EnquiryRow",
    "FileStanding",
    "Job",
    "LotGroup",
    "LotRow",
    "LotStep",
    "MashTrial",
    "OfferedLot",
    "PlantVersion",
    "Release",
    "Remembered",
]
