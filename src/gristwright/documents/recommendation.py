"""A recommendation as two files in a folder: the printed page and the JSON it was printed from."""

from __future__ import annotations

import json
import re
from pathlib import Path

from gristwright.charts import render as charts
from gristwright.charts.ledger import ledger_chart
from gristwright.documents import render
from gristwright.documents.entries import LITRES, View
from gristwright.documents.view import recommendation_view
from gristwright.records.results import Ledger, Recommendation

PDF, JSON = "recommendation.pdf", "recommendation.json"
TEMPLATE = "recommendation.typ"

PIXELS_PER_POINT = 1.3
ONE_LINE, TWO_LINES = 16, 24  # height of a ledger row in pixels
LONG_LABEL = 52  # characters that fit on one line of the ledger's table; a loss is set in by about three
LEDGER_WIDTH, PADDING = 240, 2


def write_recommendation(rec: Recommendation, folder: Path) -> tuple[Path, ...]:
    """Write recommendation.pdf and recommendation.json, both or neither; the same recommendation gives the same bytes.

    Raises Refused when the folder cannot be made or written to.
    """
    view = recommendation_view(rec)
    contents = {PDF: recommendation_pdf(view, rec.present.ledger), JSON: render.view_json(view)}
    return render.write_together(folder, contents, "recommendation")


def recommendation_pdf(view: View, ledger: Ledger | None) -> bytes:
    """The view printed: A4, tagged, dated by its day of issue and by nothing else."""
    return recommendation_pages(view, ledger)[0]


def recommendation_pages(view: View, ledger: Ledger | None, ppi: float | None = None) -> list[bytes]:
    """The document as one PDF, or as one PNG a page when `ppi` [dots per inch] is given."""
    return render.pages(TEMPLATE, view, pictures(view, ledger), ppi)


def pictures(view: View, ledger: Ledger | None) -> dict[str, str]:
    """The charts as SVG by file name and, in drawn.json, their sizes; no ledger where its litres are withheld."""
    made, drawn = _ledger_picture(view, ledger) if ledger else ({}, {})
    drawn["changes"] = None
    changes = view["charts"]["changes"]
    if changes is not None:
        made["changes.svg"] = charts.svg(changes)
        drawn["changes"] = changes["description"]
    return {**made, "drawn.json": json.dumps(drawn)}


def _ledger_picture(view: View, ledger: Ledger) -> tuple[dict[str, str], View]:
    """The ledger's picture has its rows beside the rows of the table."""
    longest = max(len(row.label) + 3 * (row.kind == "loss") for row in ledger.rows)
    height = ONE_LINE if longest <= LONG_LABEL else TWO_LINES
    picture = charts.svg(
        ledger_chart(ledger, row_labels=False, row_height=height, width=LEDGER_WIDTH, axis_title=LITRES)
    )
    drawn: View = {
        "row_pt": height / PIXELS_PER_POINT,
        "top_pt": PADDING / PIXELS_PER_POINT,
        "width_pt": _svg_width(picture) / PIXELS_PER_POINT,
        "ledger": view["charts"]["ledger"]["description"],
    }
    return {"ledger.svg": picture}, drawn


def _svg_width(picture: str) -> float:
    found = re.search(r'<svg[^>]*? width="([0-9.]+)"', picture)
    return float(found.group(1)) if found else float(LEDGER_WIDTH)
