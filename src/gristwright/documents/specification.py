"""A purchase specification as one page and the JSON it was printed from. See docs/trade.md."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from gristwright import __version__
from gristwright.basics import Band
from gristwright.documents import render
from gristwright.documents.assumptions import AssumedView, assumptions_view
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import (
    STATED,
    Entry,
    FootNotes,
    HeadView,
    date_entry,
    entry,
    figure_entry,
    readable,
    single,
)
from gristwright.documents.lots import LotsView, lots_view
from gristwright.documents.provenance import DrawnView, drawn_view
from gristwright.files.writing import write_set
from gristwright.quantities.shown import capital, fewest_decimals, plain
from gristwright.records.trade import LotSpecification, Specification, SpecLine

FORMAT = "gristwright.specification/1"
PDF, JSON, TEMPLATE = "specification.pdf", "specification.json", "specification.typ"
PLANNING_AID = "Planning aid: not a contract and not legal advice."
FROM_TYPE, FROM_BILL, LIMIT, ON_PAPER = "usual of the type", "needed by the bill", "limit", "on the certificate"


@dataclass(frozen=True)
class SpecLineView:
    """One line: least, most, today's certificate, and what one unit more is worth."""

    field: str
    title: str
    unit: str
    basis: str
    method: str
    least: Entry | None
    most: Entry | None
    certificate: Entry | None
    worth: Entry | None
    how: str
    standing: str
    source: str


@dataclass(frozen=True)
class SpecLotView:
    """What is asked of one lot."""

    lot: str
    title: str
    share: Entry
    lines: tuple[SpecLineView, ...]
    contaminants: tuple[SpecLineView, ...]
    misses: tuple[str, ...]


@dataclass(frozen=True)
class BoundSource:
    """Where a bound comes from."""

    title: str
    at: str
    standing: str
    source: str


@dataclass(frozen=True)
class SpecificationNotes(FootNotes):
    """The notes of a page, and what is said of all its lines."""

    said: tuple[str, ...]


@dataclass(frozen=True)
class SpecificationView(HeadView):
    """What to ask of each lot of a bill."""

    currency: str
    value: Entry | None
    value_words: str
    lots: tuple[SpecLotView, ...]
    lots_table: LotsView
    sources: tuple[BoundSource, ...]
    assumed: AssumedView = field(metadata=SPREAD)
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    provenance: DrawnView
    notes: SpecificationNotes


def specification_view(spec: Specification) -> SpecificationView:
    """Every text and number of a specification; each number says what it rests on."""
    view = SpecificationView(
        format=FORMAT,
        language="en",
        title=f"Lots for the bill {spec.bill}",
        customer=spec.plant,
        invented=False,
        issued=date_entry(spec.issued),
        currency=spec.currency,
        value=_value(spec),
        value_words=spec.value_words,
        lots=tuple(lot_view(lot) for lot in spec.lots),
        lots_table=lots_view({lot.lot_id: lot.identity for lot in spec.lots}),
        sources=sources(spec),
        assumed=assumptions_view(spec.assumptions, {}, ""),
        warnings=spec.warnings,
        cautions=spec.cautions,
        provenance=drawn_view(__version__, spec.seed, spec.members, spec.inputs),
        notes=SpecificationNotes(PLANNING_AID, "", spec.notes),
    )
    return readable(view)


def _value(spec: Specification) -> Entry | None:
    if spec.value_per_lpa is None:
        return None
    unit = f"{spec.currency or 'money'}/L pure alcohol"
    return single("value_per_lpa", "value of new spirit", unit, spec.value_per_lpa, 3, spec.value_words)


def lot_view(lot: LotSpecification) -> SpecLotView:
    """What is asked of one lot as a view."""
    label = "share of the grist as it is weighed"
    return SpecLotView(
        lot=lot.lot_id,
        title=capital(lot.title),
        share=single("share", label, "%", lot.share_pct, fewest_decimals(lot.share_pct), STATED),
        lines=tuple(line_view(line) for line in lot.lines),
        contaminants=tuple(line_view(line) for line in lot.contaminants),
        misses=lot.misses,
    )


def line_view(line: SpecLine) -> SpecLineView:
    """One line as a view."""
    basis = FROM_BILL if line.how.startswith("keeps") else FROM_TYPE if line.how else LIMIT
    return SpecLineView(
        field=line.field,
        title=capital(line.title),
        unit=line.unit,
        basis=line.basis,
        method=line.method,
        least=_bound("least", line, line.least, basis),
        most=_bound("most", line, line.most, basis),
        certificate=_bound("certificate", line, line.certificate, ON_PAPER),
        worth=figure_entry(line.worth, difference=True) if line.worth else None,
        how=line.how,
        standing=line.standing,
        source=line.source,
    )


def _bound(key: str, line: SpecLine, value: float | None, basis: str) -> Entry | None:
    if value is None:
        return None
    whole = line.field in ("diastatic_power", "dextrinising_units") or abs(value) >= 100.0
    digits = 0 if whole else fewest_decimals(value)
    return entry(f"{key}.{line.field}", key, line.unit, Band(value, value, value), digits, basis=basis)


def sources(spec: Specification) -> tuple[BoundSource, ...]:
    """Where every bound comes from, once for equal lines."""
    seen: dict[BoundSource, None] = {}
    for lot in spec.lots:
        for line in (*lot.lines, *lot.contaminants):
            bound = line.most if line.most is not None else line.least
            at = "" if bound is None or line.how else f"{plain(bound, fewest_decimals(bound))} {line.unit}"
            seen[BoundSource(capital(line.title), at, line.standing, line.source)] = None
    return tuple(seen)


def specification_pages(view: SpecificationView, ppi: float | None = None) -> list[bytes]:
    """The page as a PDF, or as PNG when `ppi` [dots per inch] is given."""
    return render.pages(TEMPLATE, view, {}, ppi)


def write_specification(spec: Specification, folder: Path) -> tuple[Path, ...]:
    """Write specification.pdf and specification.json, both or neither; the same specification gives the same bytes.

    Raises Refused when the folder cannot be made or written to.
    """
    view = specification_view(spec)
    contents = {PDF: specification_pages(view)[0], JSON: render.view_json(view)}
    return write_set(folder, contents)
