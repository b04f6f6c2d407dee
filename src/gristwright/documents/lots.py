"""The table of lots that stands in every document, page and answer: what each lot in it is known by."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from gristwright.basics import Refused
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


@dataclass(frozen=True)
class LotLine:
    """A lot by its name and all that it is known by; what its certificate does not say stays empty."""

    lot: str
    supplier: str
    lot_number: str
    crop: str
    type: str
    material: str
    certificate: str
    sha256: str


@dataclass(frozen=True)
class LotsView:
    """Heads, a row a lot, and what the certificate's digits are."""

    heads: tuple[str, ...]
    rows: tuple[LotLine, ...]
    note: str


def lots_view(lots: Mapping[str, LotIdentity]) -> LotsView:
    """The table of lots, by the name of each."""
    return LotsView(HEADS, tuple(_row(*line) for line in lots.items()), NOTE)


def _row(name: str, lot: LotIdentity) -> LotLine:
    crop = "" if lot.crop is None else str(lot.crop)
    own = (lot.material, lot.short, lot.certificate)
    return LotLine(name, lot.supplier, lot.lot_number, crop, type_title(lot.material), *own)


def type_title(material: str) -> str:
    """A type in words; one that no table knows as it is called."""
    try:
        return capital(material_named(material, "type").title)
    except Refused:
        return material


def lots_of(results: Iterable[BillResult]) -> dict[str, LotIdentity]:
    """The lots of several bills, each once."""
    return {name: lot for result in results for name, lot in result.lots.items()}


def lots_in(bill: Bill, given: Iterable[Lot]) -> dict[str, LotIdentity]:
    """The lots of a bill out of those that were given."""
    return {lot.lot_id: lot.identity for lot in given if bill.parts_of(lot.lot_id)}
