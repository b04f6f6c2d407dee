"""The dossier as three files: PDF, HTML and JSON of the same content. See docs/order.md."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from gristwright.basics import Problem, Refused
from gristwright.charts import render as charts
from gristwright.documents import recommendation, render
from gristwright.documents.dossier_html import dossier_html
from gristwright.documents.dossier_view import DossierView, dossier_view
from gristwright.records.order import Dossier

PDF, HTML, JSON = "dossier.pdf", "dossier.html", "dossier.json"
TEMPLATE: Final = "dossier.typ"
PAPERS = {"a4": "a4", "letter": "us-letter"}


def write_dossier(made: Dossier, folder: Path, paper: str = "a4") -> tuple[Path, ...]:
    """Write dossier.pdf, dossier.html and dossier.json, all or none; the same dossier gives the same bytes.

    `paper` is a4 or letter. Raises Refused for another one, and when the folder cannot be made or written to.
    """
    view = dossier_view(made)
    contents = {
        PDF: dossier_pages(made, view, paper)[0],
        HTML: dossier_html(view, made.recommendation).encode(),
        JSON: render.view_json(view),
    }
    return render.write_together(folder, contents, "dossier")


def dossier_pages(made: Dossier, view: DossierView, paper: str = "a4", ppi: float | None = None) -> list[bytes]:
    """The dossier as one tagged PDF, or as one PNG a page when `ppi` [dots per inch] is given."""
    if paper not in PAPERS:
        raise Refused([Problem("paper", f"{paper!r} is no paper we print on.", f"Use one of: {', '.join(PAPERS)}.")])
    files = recommendation.pictures(view.advice.charts, made.recommendation.present.ledger)
    files |= render.templates(recommendation.TEMPLATE)
    files["mash.svg"] = charts.svg(view.mash.chart)
    if view.mash.grid is not None:
        files["grid.svg"] = charts.svg(view.mash.grid.chart)
    if view.gain is not None and view.gain.chart is not None:
        files["plane.svg"] = charts.svg(view.gain.chart)
    return render.pages(TEMPLATE, view, files, ppi, {"paper": PAPERS[paper], "kind": "Dossier"})
