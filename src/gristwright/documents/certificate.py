"""One lot's certificate as a table: what was printed, what it is in the table's unit, how it stands.

See docs/certificates.md.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from gristwright.basics import NOWHERE, Address, Problem, Refused, Where, letters
from gristwright.records.lot import Analysis, Lot, Material
from gristwright.stages.grist import certificate, contaminants, cross_checks
from gristwright.stages.grist.certificate_units import fields, table_value
from gristwright.stages.grist.materials import material_named
from gristwright.stages.grist.unsaid import unsaid


@dataclass(frozen=True)
class CertificateLine:
    """One figure: as printed, in the table's unit, beside the type's usual range, and how it stands."""

    field: str
    printed: str
    unit: str
    basis: str
    value: float | None
    typical: str
    stands: str
    where: Address

    @property
    def cell(self) -> str:
        """B7 of a workbook; the row, or the row and column, of a text file."""
        where = self.where
        if where.sheet and where.row and where.column:
            return f"{letters(where.column)}{where.row}"
        column = f"column {where.column}" if where.column and not where.path else ""
        return " ".join(text for text in (f"row {where.row}" if where.row else "", column) if text)

    @property
    def cells(self) -> tuple[str, ...]:
        """The line for a terminal."""
        field = fields()[self.field]
        value = "" if self.value is None else f"{self.value:.4g} {field.table_unit}"
        basis = self.basis or (field.basis if self.stands == "assumed" else "")
        unit = " ".join(text for text in (self.unit, basis) if text)
        return field.short, self.printed, unit, value, self.typical, self.stands, self.cell


@dataclass(frozen=True)
class LotSheet:
    """One lot with its lines and everything that is to be said of it."""

    lot: Lot
    title: str
    lines: tuple[CertificateLine, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class CertificateLineView:
    """One figure of a certificate, its place as words, as a cell and as an address."""

    field: str
    printed: str
    unit: str
    basis: str
    value: float | None
    typical: str
    stands: str
    where: str
    cell: str
    address: dict[str, str | int | list[str]]


@dataclass(frozen=True)
class CertificateView:
    """One lot by all that it is known by, and its lines."""

    lot: str
    supplier: str
    lot_number: str
    crop: int | None
    material: str
    certificate: str
    where: str
    address: dict[str, str | int | list[str]]
    lines: tuple[CertificateLineView, ...]


def certificate_view(sheet: LotSheet) -> CertificateView:
    """The sheet as a view."""
    lot, lines = sheet.lot, tuple(_line_view(line) for line in sheet.lines)
    return CertificateView(lot.lot_id, *lot.identity, lot.where.words, lot.where.as_data(), lines)


def _line_view(line: CertificateLine) -> CertificateLineView:
    said = {**vars(line), "where": line.where.words}
    return CertificateLineView(**said, cell=line.cell, address=line.where.as_data())


def lot_sheet(lot: Lot, printed: Mapping[Address, str], on: dt.date) -> LotSheet:
    """A lot's certificate as on one day; `printed` holds the text of each cell by its place."""
    aged = contaminants.crop_problems(lot, on)
    try:
        material = material_named(lot.material, lot.where.to("material"))
    except Refused as refused:
        # A lot without a material was told so when it was read.
        problems = refused.problems if lot.material else ()
        return LotSheet(lot, _title(lot, None), _lines(lot, None, printed, {}), (*problems, *aged))
    remarks = (*certificate.lot_problems(lot, material), *aged)
    return LotSheet(lot, _title(lot, material), _lines(lot, material, printed, _marks(lot, material)), remarks)


def _marks(lot: Lot, material: Material) -> dict[Where, str]:
    """How figures stand that do not stand as read; what is not said of one does not make it inconsistent."""
    said = {problem.where: "not stated" for problem in unsaid(lot, material)}
    said |= {problem.where: "inconsistent" for problem in cross_checks.inconsistencies(lot, material)}
    return said | {problem.where: "out of range" for problem in certificate.range_problems(lot, material)}


def _title(lot: Lot, material: Material | None) -> str:
    kind = material.title if material else lot.material or "no material"
    return ", ".join(text for text in (f"{lot.lot_id or 'no name'}: {kind}", delivery_of(lot)) if text)


def delivery_of(lot: Lot) -> str:
    """Supplier, lot number and crop, as far as the certificate says them."""
    supplier, number, crop = lot.identity.delivery
    said = (supplier, f"lot {number}" if number else "", f"crop {crop}" if crop else "")
    return ", ".join(text for text in said if text)


def _lines(
    lot: Lot,
    material: Material | None,
    printed: Mapping[Address, str],
    marks: Mapping[Where, str],
) -> tuple[CertificateLine, ...]:
    read = [_read_line(lot, a, material, printed, marks.get(a.where, "read")) for a in lot.analyses]
    assumed = certificate.believe(lot, material).assumed if material else ()
    return (*read, *(_assumed_line(name, material) for name in assumed if material))


def _read_line(
    lot: Lot, analysis: Analysis, material: Material | None, printed: Mapping[Address, str], stands: str
) -> CertificateLine:
    return CertificateLine(
        field=analysis.field,
        printed=printed.get(analysis.where, f"{analysis.value:g}"),
        unit=analysis.unit,
        basis=analysis.basis,
        value=table_value(lot, analysis),
        typical=_typical(analysis.field, material),
        stands=stands,
        where=analysis.where,
    )


def _assumed_line(name: str, material: Material) -> CertificateLine:
    value = material.typical[name].middle if name in material.typical else None
    return CertificateLine(name, "", "", "", value, _typical(name, material), "assumed", NOWHERE)


def _typical(name: str, material: Material | None) -> str:
    if material is None or name not in material.typical:
        return ""
    typical = material.typical[name]
    return f"{typical.low:g}-{typical.high:g}"
