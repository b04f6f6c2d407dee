"""The table of lots that stands in every document, page and answer: what each lot in it is known by."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from gristwright.basics import Refused
from gristwright.documents.entries import View
from gristwright.quantities.shown import capital
from gristwright.records.bill import Bill
from gristwright.records.lot import Lot, LotIdentity
from gristwright.records.results import BillResult
from gristwright.stages.grist.materials import material_named

HEADS = ("Lot", "Supplier", "Lot number", "Crop", "Type", "Certificate")
NOTE = (
    "Certificate: the first twelve digits of the SHA-256 of the file the lot's figures came in. A lot is the one meant "
    "when all of a line agrees; what a line does not say, the certificate does not say."
)


def lots_view(lots: Mapping[str, LotIdentity]) -> View:
    """Heads, a row a lot by its name, and what the certificate's digits are."""
    return {"heads": list(HEADS), "rows": [_row(*line) for line in lots.items()], "note": NOTE}


def _row(name: str, lot: LotIdentity) -> View:
    crop = "" if lot.crop is None else str(lot.crop)
    told = {"lot": name, "supplier": lot.supplier, "lot_number": lot.lot_number, "crop": crop, "type": _type(lot)}
    return {**told, "material": lot.material, "certificate": lot.short, "sha256": lot.certificate}


def _type(lot: LotIdentity) -> str:
    try:
        return capital(material_named(lot.material, "type").title)
    except Refused:
        return lot.material


def lots_of(results: Iterable[BillResult]) -> dict[str, LotIdentity]:
    """The lots of several bills, each once."""
    return {name: lot for result in results for name, lot in result.lots.items()}


def lots_in(bill: Bill, given: Iterable[Lot]) -> dict[str, LotIdentity]:
    """The lots of a bill out of those that were given."""
    return {lot.lot_id: lot.identity for lot in given if bill.parts_of(lot.lot_id)}
