"""Lots as a table that reads back as it was: the other way round from `lots_in`. See docs/certificates.md."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TypeAlias

from gristwright.basics import NOWHERE, Refused
from gristwright.files.certificates.columns import column_of
from gristwright.files.certificates.headings import CERTIFICATE, read_heading
from gristwright.records.lot import Analysis, Lot
from gristwright.reference import csv_rows
from gristwright.stages.grist.certificate_units import fields

OWN = ("lot", "material", "supplier", "lot number", "crop", CERTIFICATE)
# Field, unit, basis and method: lots whose laboratories went by different methods have a column each.
Kind: TypeAlias = tuple[str, str, str, str]


def lots_table(lots: Sequence[Lot]) -> list[list[object]]:
    """Headings, a line of methods where any is known, and a row a lot; a figure stands as it was printed."""
    kinds = _in_order([[_kind(analysis) for analysis in lot.analyses] for lot in lots])
    rows: list[list[object]] = [[*OWN, *(heading_for(kind) for kind in kinds)]]
    if any(method for *_, method in kinds):
        rows.append(["method", *[""] * (len(OWN) - 1), *(method for *_, method in kinds)])
    return [*rows, *(_row(lot, kinds) for lot in lots)]


def _in_order(certificates: Sequence[Sequence[Kind]]) -> list[Kind]:
    """Every kind once, so that the figures of each lot stay in their order wherever the lots agree on it."""
    kinds: list[Kind] = []
    for certificate in certificates:
        after = 0
        for kind in certificate:
            if kind not in kinds:
                kinds.insert(after, kind)
            after = kinds.index(kind) + 1
    return kinds


def _kind(analysis: Analysis) -> Kind:
    return analysis.field, analysis.unit, analysis.basis, analysis.method


def _row(lot: Lot, kinds: Sequence[Kind]) -> list[object]:
    values = {_kind(analysis): analysis.value for analysis in lot.analyses}
    known = lot.identity
    own = (lot.lot_id, known.material, known.supplier, known.lot_number, known.crop or "", known.certificate)
    return [*own, *(values.get(kind, "") for kind in kinds)]


@cache
def heading_for(kind: Kind) -> str:
    """A heading the reader takes for this field, unit and basis; the field's title when it knows none."""
    name, unit, basis, method = kind
    words = f" {basis}" if basis else ""
    named = [row["heading"] for row in csv_rows("tables/certificate_headings.csv") if row["field"] == name]
    texts = [f"{heading}{words} [{unit}]" for heading in (*named, fields()[name].title)]
    return next((text for text in texts if _means(text, name, unit, basis, method)), texts[-1])


def _means(text: str, field: str, unit: str, basis: str, method: str) -> bool:
    heading = read_heading(text)
    try:
        if heading.role != "field":
            return False
        column = column_of(heading, "", NOWHERE)
    except Refused:
        return False
    return (column.field, column.unit, column.basis) == (field, unit, basis) and column.method in ("", method)
