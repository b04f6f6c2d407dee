"""A recommendation as two files in a folder: the printed page and the JSON it was printed from."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from gristwright.charts import render as charts
from gristwright.charts.ledger import ledger_chart
from gristwright.documents import render
from gristwright.documents.customer import PICTURE, printed
from gristwright.documents.data import Frozen, as_data
from gristwright.documents.entries import LITRES
from gristwright.documents.view import ChartsView, RecommendationView, recommendation_view
from gristwright.files.writing import write_set
from gristwright.records.results import Ledger, Recommendation

PDF, JSON = "recommendation.pdf", "recommendation.json"
TEMPLATE, CUSTOMER = "recommendation.typ", "customer.typ"
PARTS, ORDER_PART = "dossier_parts.typ", "order_part.typ"
# Parts that the template imports.
BLOCKS = ("markers.typ", "dose.typ")

PIXELS_PER_POINT = 1.3
ONE_LINE, TWO_LINES = 16, 24  # height of a ledger row in pixels
LONG_LABEL = 56  # characters that fit on one line of the ledger's table; a loss is set in by about three
LEDGER_WIDTH, PADDING = 212, 2


@dataclass(frozen=True)
class LedgerDrawn:
    """How high a row of the ledger's picture is, where the first begins, how wide it is, and its text."""

    row_pt: float
    top_pt: float
    width_pt: float
    ledger: str


def write_recommendation(rec: Recommendation, folder: Path) -> tuple[Path, ...]:
    """Write recommendation.pdf and recommendation.json, both or neither; the same recommendation gives the same bytes.

    Raises Refused when the folder cannot be made or written to.
    """
    return write_set(folder, recommendation_files(rec))


def recommendation_files(rec: Recommendation) -> dict[str, bytes]:
    """The two files by name."""
    view = recommendation_view(rec)
    return {PDF: recommendation_pdf(view, rec.present.ledger), JSON: render.view_json(view)}


def customer_files(view: Frozen) -> dict[str, str]:
    """What the customer's pages are printed with: their template, and their picture where there is one."""
    picture = view["customer_pages"]["picture"] if "customer_pages" in view else None
    return {**render.templates(CUSTOMER), **({PICTURE: charts.svg(picture["chart"])} if picture else {})}


def files_of(data: Frozen, kept: Mapping[str, str]) -> dict[str, str]:
    """Everything that the pages read by name: what was kept with an answer, in the templates of this release.

    An order is laid out by the part it was kept with, for its words are of the same release.
    """
    return {
        **render.templates(ORDER_PART),
        **kept,
        **render.templates(TEMPLATE, PARTS, *BLOCKS),
        **customer_files(data),
    }


def recommendation_pdf(view: RecommendationView, ledger: Ledger | None) -> bytes:
    """The view printed: A4, tagged, dated by its day of issue and by nothing else."""
    return recommendation_pages(view, ledger)[0]


def recommendation_pages(
    view: RecommendationView, ledger: Ledger | None, ppi: float | None = None, language: str = ""
) -> list[bytes]:
    """The document as one PDF, or as one PNG a page when `ppi` [dots per inch] is given.

    The customer's pages in another `language` where one is named. Raises Refused for one that we do not print in.
    """
    data = printed(as_data(view), language)
    return render.pages_of(TEMPLATE, data, files_of(data, pictures(view.advice.charts, ledger)), ppi)


def pictures(drawn: ChartsView, ledger: Ledger | None) -> dict[str, str]:
    """The charts as SVG by file name and, in drawn.json, their sizes; no ledger where its litres are withheld."""
    made: dict[str, str] = {}
    said: dict[str, object] = {}
    if ledger is not None and drawn.ledger is not None:
        made["ledger.svg"], size = _ledger_picture(ledger, drawn.ledger["description"])
        said |= as_data(size)
    said["changes"] = None
    if drawn.changes is not None:
        made["changes.svg"] = charts.svg(drawn.changes)
        said["changes"] = drawn.changes["description"]
    return {**made, "drawn.json": json.dumps(said, allow_nan=False)}


def _ledger_picture(ledger: Ledger, words: str) -> tuple[str, LedgerDrawn]:
    """The ledger's picture has its rows beside the rows of the table."""
    longest = max(len(row.label) + 3 * (row.kind == "loss") for row in ledger.rows)
    height = ONE_LINE if longest <= LONG_LABEL else TWO_LINES
    picture = charts.svg(
        ledger_chart(ledger, row_labels=False, row_height=height, width=LEDGER_WIDTH, axis_title=LITRES)
    )
    row, top, width = (pixels / PIXELS_PER_POINT for pixels in (height, PADDING, _svg_width(picture)))
    return picture, LedgerDrawn(row, top, width, words)


def _svg_width(picture: str) -> float:
    width = re.search(r'<svg[^<>]*? width="([0-9.]+)"', picture)
    return float(width.group(1)) if width else float(LEDGER_WIDTH)
