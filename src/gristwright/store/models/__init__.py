"""The tables. See docs/desk.md."""

from gristwright.store.models.ages import AgedCasks, Dosing, Release
from gristwright.store.models.enquiries import BillShare, EnquiryRow, LotGroup, NamedLot, OfferedLot
from gristwright.store.models.houses import CaskVersion, Customer, House, PlantVersion
from gristwright.store.models.lots import (
    CertificateFile,
    FileStanding,
    LotRow,
    LotStep,
    LotVersion,
    Remembered,
)
from gristwright.store.models.work import Answer, AnswerStep, InOtherLanguage, Job, MashTrial, Papers

__all__ = [
    "AgedCasks",
    "Answer",
    "AnswerStep",
    "BillShare",
    "CaskVersion",
    "CertificateFile",
    "Customer",
    "Dosing",
    "EnquiryRow",
    "FileStanding",
    "House",
    "InOtherLanguage",
    "Job",
    "LotGroup",
    "LotRow",
    "LotStep",
    "LotVersion",
    "MashTrial",
    "NamedLot",
    "OfferedLot",
    "Papers",
    "PlantVersion",
    "Release",
    "Remembered",
]
