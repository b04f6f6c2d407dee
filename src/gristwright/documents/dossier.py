"""The whole dossier as a view and as three files: PDF, HTML and JSON of the same content. See docs/order.md."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

from gristwright.basics import Problem, Refused
from gristwright.charts import render as charts
from gristwright.documents import recommendation, render
from gristwright.documents.cask_part import cask_view
from gristwright.documents.dossier_html import dossier_html
from gristwright.documents.entries import View, readable
from gristwright.documents.gain import INSIDE, ages_view, gain_view
from gristwright.documents.lots import lots_of
from gristwright.documents.mash_part import mash_part_view
from gristwright.documents.order import annual_view, change_over_view, order_view, sensitivity_view
from gristwright.documents.view import fingerprinted, recommendation_view, results_of
from gristwright.records.order import Dossier

FORMAT = "gristwright.dossier/1"
PDF, HTML, JSON = "dossier.pdf", "dossier.html", "dossier.json"
TEMPLATE: Final = "dossier.typ"
PAPERS = {"a4": "a4", "letter": "us-letter"}
NOTES = {
    "order": "Liquor is the water before it meets the grain, settled mash what the thermometer shows after mixing. The "
    "empty column is for what was measured. Band of the calculation: low to high of the runs (5 and 95 %).",
    "rounding": "The bill as it is weighed against the bill as it was asked, on the same draws.",
    "change_over": "Steps are equal and rounded to what can be weighed. How many there are is the house's choice.",
    "annual": "The same tonnes a year for every bill, at the prices of the enquiry. Changes are against today on the "
    "same draws. The last two rows say what it takes to fill as many litres as today.",
    "one_percent": "One per cent of the grist more of a lot, taken from the lot named beside it, in today's bill.",
    "flips": "The price of one lot, all other prices as they are, at which an offer costs as much for each litre as "
    "today. Under zero: not even for nothing.",
}
ALONE = "At the prices of the enquiry."


def dossier_view(made: Dossier) -> View:
    """Every text and number of a dossier, ready for JSON: the recommendation's view with the rest beside it."""
    view = recommendation_view(replace(made.recommendation, assumptions=made.assumptions))
    added = {
        "order": order_view(made.order, lots_of(results_of(made.recommendation))),
        "change_over": change_over_view(made.change_over),
        "annual": annual_view(made.annual),
        "sensitivity": sensitivity_view(made.sensitivity),
        "mash": mash_part_view(made.mash),
        "cask": cask_view(made.cask),
        "gain": gain_view(made.gain, made.recommendation.offers),
        "ages": ages_view(made.ages),
        "notes": {**view["notes"], **NOTES, **({"age": INSIDE} if made.ages else {})}
        | ({} if len(made.annual) > 1 else {"annual": ALONE}),
    }
    return fingerprinted({**view, **{key: readable(part) for key, part in added.items()}, "format": FORMAT})


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


def dossier_pages(made: Dossier, view: View, paper: str = "a4", ppi: float | None = None) -> list[bytes]:
    """The dossier as one tagged PDF, or as one PNG a page when `ppi` [dots per inch] is given."""
    if paper not in PAPERS:
        raise Refused([Problem("paper", f"{paper!r} is no paper we print on.", f"Use one of: {', '.join(PAPERS)}.")])
    files = recommendation.pictures(view, made.recommendation.present.ledger)
    files |= render.templates(recommendation.TEMPLATE)
    files["mash.svg"] = charts.svg(view["mash"]["chart"])
    if view["mash"]["grid"] is not None:
        files["grid.svg"] = charts.svg(view["mash"]["grid"]["chart"])
    if view["gain"] is not None:
        files["plane.svg"] = charts.svg(view["gain"]["chart"])
    return render.pages(TEMPLATE, view, files, ppi, {"paper": PAPERS[paper], "kind": "Dossier"})
