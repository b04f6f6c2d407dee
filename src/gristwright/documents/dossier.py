"""The dossier as three files: PDF, HTML and JSON of the same content. See docs/order.md."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Final

from gristwright.basics import Problem, Refused
from gristwright.charts import render as charts
from gristwright.documents import order_sheet, recommendation, render
from gristwright.documents.customer import printed
from gristwright.documents.data import Frozen, as_data
from gristwright.documents.dossier_html import (
    Bar,
    ChangePicture,
    HtmlPictures,
    html_of,
    html_pictures,
    pictures_of_beer,
)
from gristwright.documents.dossier_view import DossierView, dossier_view
from gristwright.documents.entries import IssueView, date_entry
from gristwright.documents.view import FORMAT_OF_BEER, recommendation_view
from gristwright.files.writing import write_set
from gristwright.records.order import Dossier
from gristwright.records.results import Recommendation

PDF, HTML, JSON = "dossier.pdf", "dossier.html", "dossier.json"
TEMPLATE: Final = "dossier.typ"
PAPERS = {"a4": "a4", "letter": "us-letter"}


@dataclass(frozen=True)
class Drawn:
    """A dossier ready for paper and page: its view, the pictures of the PDF by file name, those of the page."""

    data: Frozen
    files: dict[str, str]
    pictures: HtmlPictures

    def as_text(self) -> str:
        """All of it as one JSON text."""
        return json.dumps(asdict(self), ensure_ascii=False, allow_nan=False)

    @classmethod
    def of_text(cls, text: str) -> Drawn:
        """What `as_text` wrote."""
        read = json.loads(text)
        bars, changes = read["pictures"]["bars"], read["pictures"]["changes"]
        said = read["pictures"] | {
            "bars": [Bar(**one) for one in bars],
            "changes": [ChangePicture(**c) for c in changes],
        }
        return cls(read["data"], read["files"], HtmlPictures(**said))


def drawn(made: Dossier, view: DossierView) -> Drawn:
    """Everything a dossier is printed from."""
    return Drawn(as_data(view), _files(made, view), html_pictures(view, made.recommendation))


def drawn_of_beer(answer: Recommendation) -> Drawn:
    """Everything a brewer's answer is printed from."""
    view = recommendation_view(answer)
    return Drawn(as_data(view), recommendation.pictures(view.advice.charts, None), pictures_of_beer(answer))


def as_draft(ready: Drawn, by: str, at: str) -> Drawn:
    """A dossier that was worked out and that nobody has issued."""
    return _standing(ready, IssueView("draft", by, at, ""))


def as_issued(ready: Drawn, day: dt.date, by: str, at: str, note: str) -> Drawn:
    """A draft issued on a day; it holds as many days from then as its enquiry says. Figures stay as they are."""
    begun, until = (dt.date.fromisoformat(ready.data[name]["iso"]) for name in ("issued", "valid_until"))
    days = {"issued": date_entry(day), "valid_until": date_entry(day + (until - begun))}
    return _standing(ready, IssueView("issued", by, at, note), **{name: as_data(one) for name, one in days.items()})


def _standing(ready: Drawn, issue: IssueView, **days: object) -> Drawn:
    return replace(ready, data={**ready.data, "issue": as_data(issue), **days})


def write_dossier(
    made: Dossier, folder: Path, paper: str = "a4", also: Mapping[str, bytes] | None = None
) -> tuple[Path, ...]:
    """Write dossier.pdf, dossier.html and dossier.json, and `also` what belongs to them, all or none.

    The same dossier gives the same bytes. `paper` is a4 or letter. Raises Refused for another one, and when the folder
    cannot be made or written to.
    """
    ready = drawn(made, dossier_view(made))
    contents = {
        PDF: pdf_of(ready, paper),
        HTML: html_of(ready.data, ready.pictures).encode(),
        JSON: render.data_json(ready.data),
    }
    return write_set(folder, {**(also or {}), **contents})


def write_answer_of_beer(answer: Recommendation, folder: Path, paper: str = "a4") -> tuple[Path, ...]:
    """Write a brewer's recommendation.pdf, recommendation.html and recommendation.json, all or none. Raises Refused."""
    return write_set(folder, answer_of_beer(answer, paper))


def answer_of_beer(answer: Recommendation, paper: str = "a4") -> dict[str, bytes]:
    """A brewer's recommendation as files by name."""
    ready = drawn_of_beer(answer)
    return {
        recommendation.PDF: pdf_of(ready, paper),
        "recommendation.html": html_of(ready.data, ready.pictures).encode(),
        recommendation.JSON: render.data_json(ready.data),
    }


def pdf_of(ready: Drawn, paper: str = "a4", language: str = "") -> bytes:
    """The tagged PDF of a dossier as it is kept; the customer's pages in another language where one is named.

    Raises Refused for paper or language that we do not print on or in.
    """
    data, words = printed(ready.data, language), words_for(paper)
    files = recommendation.files_of(data, ready.files)
    template = recommendation.TEMPLATE if data["format"] == FORMAT_OF_BEER else TEMPLATE
    return render.pages_of(template, data, files, None, words)[0]


def dossier_pages(made: Dossier, view: DossierView, paper: str = "a4", ppi: float | None = None) -> list[bytes]:
    """The dossier as one tagged PDF, or as one PNG a page when `ppi` [dots per inch] is given."""
    data = printed(as_data(view))
    files = recommendation.files_of(data, _files(made, view))
    return render.pages_of(TEMPLATE, data, files, ppi, words_for(paper))


def words_for(paper: str) -> dict[str, str]:
    """What the template is told of the paper. Raises Refused for one that we do not print on."""
    if paper not in PAPERS:
        raise Refused([Problem("paper", f"{paper!r} is no paper we print on.", f"Use one of: {', '.join(PAPERS)}.")])
    return {"paper": PAPERS[paper]}


def _files(made: Dossier, view: DossierView) -> dict[str, str]:
    files = recommendation.pictures(view.advice.charts, made.recommendation.present.ledger)
    files |= render.templates(order_sheet.PART)
    files["mash.svg"] = charts.svg(view.mash.chart)
    if view.wash is not None:
        files["wash.svg"] = charts.svg(view.wash.chart)
    if view.mash.grid is not None:
        files["grid.svg"] = charts.svg(view.mash.grid.chart)
    if view.gain is not None and view.gain.chart is not None:
        files["plane.svg"] = charts.svg(view.gain.chart)
    return files
