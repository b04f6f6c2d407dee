"""A purchase specification as one page and the JSON it was printed from. See docs/trade.md."""

from __future__ import annotations

from pathlib import Path

from gristwright import __version__
from gristwright.basics import Band
from gristwright.documents import render
from gristwright.documents.entries import (
    STATED,
    View,
    date_entry,
    entry,
    fewest_decimals,
    figure_entry,
    readable,
    single,
)
from gristwright.documents.lots import lots_view
from gristwright.documents.view import assumptions_view, inputs_digest
from gristwright.quantities.shown import capital, plain
from gristwright.records.trade import LotSpecification, Specification, SpecLine

FORMAT = "gristwright.specification/1"
PDF, JSON, TEMPLATE = "specification.pdf", "specification.json", "specification.typ"
PLANNING_AID = "Planning aid: not a contract and not legal advice."
FROM_TYPE, FROM_BILL, LIMIT, ON_PAPER = "usual of the type", "needed by the bill", "limit", "on the certificate"


def specification_view(spec: Specification) -> View:
    """Every text and number of a specification, ready for JSON; each number says what it rests on."""
    view = {
        "format": FORMAT,
        "language": "en",
        "title": f"Lots for the bill {spec.bill}",
        "customer": spec.plant,
        "invented": False,
        "issued": date_entry(spec.issued),
        "currency": spec.currency,
        "value": _value(spec),
        "value_words": spec.value_words,
        "lots": [lot_view(lot) for lot in spec.lots],
        "lots_table": lots_view({lot.lot_id: lot.identity for lot in spec.lots}),
        "sources": sources(spec),
        **assumptions_view(spec.assumptions, {}, ""),
        "warnings": list(spec.warnings),
        "cautions": list(spec.cautions),
        "provenance": {
            "version": __version__,
            "seed": single("seed", "seed", "", spec.seed, 0, STATED),
            "members": single("members", "runs", "", spec.members, 0, STATED),
            "inputs": [{"file": name, "sha256": digest} for name, digest in spec.inputs],
            "inputs_digest": inputs_digest(spec.inputs),
        },
        "notes": {"planning_aid": PLANNING_AID, "invented": "", "said": list(spec.notes)},
    }
    return {key: readable(part) for key, part in view.items()}


def _value(spec: Specification) -> View | None:
    if spec.value_per_lpa is None:
        return None
    unit = f"{spec.currency or 'money'}/L pure alcohol"
    return single("value_per_lpa", "value of new spirit", unit, spec.value_per_lpa, 3, spec.value_words)


def lot_view(lot: LotSpecification) -> View:
    """What is asked of one lot."""
    label = "share of the grist as it is weighed"
    share = single("share", label, "%", lot.share_pct, fewest_decimals(lot.share_pct), STATED)
    return {
        "lot": lot.lot_id,
        "title": capital(lot.title),
        "share": share,
        "lines": [line_view(line) for line in lot.lines],
        "contaminants": [line_view(line) for line in lot.contaminants],
        "misses": list(lot.misses),
    }


def line_view(line: SpecLine) -> View:
    """One line: least, most, today's certificate, and what one unit more is worth."""
    basis = FROM_BILL if line.how.startswith("keeps") else FROM_TYPE if line.how else LIMIT
    return {
        "field": line.field,
        "title": capital(line.title),
        "unit": line.unit,
        "basis": line.basis,
        "method": line.method,
        "least": _bound("least", line, line.least, basis),
        "most": _bound("most", line, line.most, basis),
        "certificate": _bound("certificate", line, line.certificate, ON_PAPER),
        "worth": figure_entry(line.worth, difference=True) if line.worth else None,
        "how": line.how,
        "standing": line.standing,
        "source": line.source,
    }


def _bound(key: str, line: SpecLine, value: float | None, basis: str) -> View | None:
    if value is None:
        return None
    whole = line.field in ("diastatic_power", "dextrinising_units") or abs(value) >= 100.0
    digits = 0 if whole else fewest_decimals(value)
    return entry(f"{key}.{line.field}", key, line.unit, Band(value, value, value), digits, basis=basis)


def sources(spec: Specification) -> list[View]:
    """Where every bound comes from, once for equal lines."""
    found: dict[tuple[str, str, str, str], None] = {}
    for lot in spec.lots:
        for line in (*lot.lines, *lot.contaminants):
            bound = line.most if line.most is not None else line.least
            at = "" if bound is None or line.how else f"{plain(bound, fewest_decimals(bound))} {line.unit}"
            found[(capital(line.title), at, line.standing, line.source)] = None
    return [{"title": title, "at": at, "standing": standing, "source": source} for title, at, standing, source in found]


def specification_pages(view: View, ppi: float | None = None) -> list[bytes]:
    """The page as a PDF, or as PNG when `ppi` [dots per inch] is given."""
    return render.pages(TEMPLATE, view, {}, ppi)


def write_specification(spec: Specification, folder: Path) -> tuple[Path, ...]:
    """Write specification.pdf and specification.json, both or neither; the same specification gives the same bytes.

    Raises Refused when the folder cannot be made or written to.
    """
    view = specification_view(spec)
    contents = {PDF: specification_pages(view)[0], JSON: render.view_json(view)}
    return render.write_together(folder, contents, "specification")
