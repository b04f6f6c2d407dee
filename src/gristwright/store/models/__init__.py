"""The tables. See docs/desk.md."""

from gristwright.store.models.ages import AgedCasks, Release
from gristwright.store.models.enquiries import BillShare, EnquiryRow, LotGroup, NamedLot, OfferedLot
from gristwright.store.models.houses import CaskVersion, Customer, House, PlantVersion
from gristwright.store.models.lots import CertificateFile, LotRow, LotVersion
from gristwright.store.models.work import Answer, Job, MashTrial

__all__ = [
    "AgedCasks",
    "Answer",
    "BillShare",
    "CaskVersion",
    "CertificateFile",
    "Customer",
    "EnquiryRow",
    "House",
    "Job",
    "LotGroup",
    "LotRow",
    "LotVersion",
    "MashTrial",
    "NamedLot",
    "OfferedLot",
    "PlantVersion",
    "Release",
]
