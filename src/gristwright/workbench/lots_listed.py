"""The lots of an enquiry in one table: what each is known by, its chief values, how its certificate stands."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gristwright.basics import Refused
from gristwright.documents.certificate import LotSheet, lot_sheet
from gristwright.documents.lots import LotLine, lots_view
from gristwright.quantities.shown import capital
from gristwright.records.lot import Lot
from gristwright.stages.grist.certificate_units import fields, measured, shown

# What a lot is chosen by; of several ways to state the extract the first that a certificate prints.
EXTRACT = ("extract_asis_pct", "extract_07mm_dry_pct", "extract_fine_dry_pct", "extract_coarse_dry_pct")
CHIEF = ("Moisture", "Extract", "Fermentability", "Diastatic power")
OF_CHIEF = (("moisture_pct",), EXTRACT, ("fermentability_pct",), ("diastatic_power",))
TO_MIND = ("inconsistent", "out of range")


@dataclass(frozen=True)
class LotListed:
    """One line of the table."""

    key: uuid.UUID
    known: LotLine
    values: tuple[str, ...]
    stands: str
    fine: bool


def listed(lots: Mapping[uuid.UUID, Lot], on: dt.date) -> tuple[LotListed, ...]:
    """A line for each lot, by its key, in their order."""
    known = lots_view({lot.lot_id: lot.identity for lot in lots.values()}).rows
    lines = zip(lots.items(), known, strict=True)
    return tuple(_line(key, lot, line, lot_sheet(lot, {}, on)) for (key, lot), line in lines)


def _line(key: uuid.UUID, lot: Lot, known: LotLine, sheet: LotSheet) -> LotListed:
    stands = _stands(sheet)
    values = tuple(_value(lot, names) for names in OF_CHIEF)
    return LotListed(key, known, values, stands or "nothing unusual", not stands)


def _value(lot: Lot, names: Sequence[str]) -> str:
    """The first of these fields that the certificate prints, as printed; of an extract its mash too."""
    analysis = next((one for name in names if (one := measured(lot, name))), None)
    if analysis is None:
        return "–"
    mash = fields()[analysis.field].short.partition(", ")[2]
    try:
        return ", ".join(text for text in (shown(analysis), mash) if text)
    except Refused:
        return f"{analysis.value:g}"


def _stands(sheet: LotSheet) -> str:
    """What is to be minded of a lot, counted; nothing where nothing is."""
    counted = Counter(line.stands for line in sheet.lines)
    said = [f"{counted[word]} {word}" for word in TO_MIND if counted[word]]
    more = len(sheet.problems) - sum(counted[word] for word in TO_MIND)
    if more > 0:
        said.append(f"{more} {'more to mind' if said else 'to mind'}")
    return capital("; ".join(said)) if said else ""
