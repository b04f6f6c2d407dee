"""A brewer's bill as one page and the JSON it was printed from: forecast against today's bill. See docs/wash.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field

from gristwright import __version__
from gristwright.casework.bench import Forecast
from gristwright.documents import render
from gristwright.documents.assumptions import AssumedView, assumptions_view
from gristwright.documents.bills import BillView, bill_view
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import DateView, Entry, FootNotes, HeadView, date_entry, readable
from gristwright.documents.lots import LotsView, lots_of, lots_view
from gristwright.documents.provenance import DrawnView, drawn_view
from gristwright.numerics.draws import SEED
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import BillResult
from gristwright.reference.house_words import for_a_brewer
from gristwright.rules.hazard import cautions

FORMAT, TEMPLATE = "gristwright.beer_forecast/1", "beer_forecast.typ"
CAUTIONS = ("planning", "co2", "dust", "liquor")
PLANNING_AID = "Planning aid: not a permit and not legal advice."
INVENTED = "Invented example"
SAID = (
    "A forecast from certificates, the house as it is described and published figures; nothing of it was measured "
    "in this house. Bitterness, flavour and the law of beer are not looked at."
)


@dataclass(frozen=True)
class BeerRow:
    """A figure of the bill and of today's."""

    label: str
    unit: str
    this: Entry
    today: Entry | None


@dataclass(frozen=True)
class BeerForecastView(HeadView):
    """A brewer's bill beside today's: figures, boards, lots, what it rests on."""

    plant: str
    question: str
    adviser: str
    asked_on: DateView
    bill: BillView
    today: BillView
    same: bool
    figures: tuple[BeerRow, ...]
    lots_table: LotsView
    assumed: AssumedView = field(metadata=SPREAD)
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    said: str
    provenance: DrawnView
    notes: FootNotes


def beer_forecast_view(
    asked: Enquiry, made: Forecast, today: BillResult, issued: dt.date, inputs: Sequence[tuple[str, str]], members: int
) -> BeerForecastView:
    """Every text and number of the page."""
    bill, before = bill_view(made.result, "This bill"), bill_view(today, "Today")
    return readable(
        BeerForecastView(
            format=FORMAT,
            language="en",
            title=asked.title,
            customer=asked.customer,
            invented=asked.invented,
            issued=date_entry(issued),
            plant=asked.plant.name,
            question=asked.question,
            adviser=asked.adviser,
            asked_on=date_entry(asked.date),
            bill=bill,
            today=before,
            same=made.result.bill.shares == today.bill.shares,
            figures=tuple(BeerRow(f.label, f.unit, f, before.figures.get(key)) for key, f in bill.figures.items()),
            lots_table=lots_view(lots_of([made.result, today])),
            assumed=assumptions_view(made.assumptions, {}, ""),
            warnings=tuple(problem.sentence() for problem in made.warnings),
            cautions=(*(one.text for one in for_a_brewer(cautions(*CAUTIONS))), *made.result.cautions),
            said=SAID,
            provenance=drawn_view(__version__, SEED, members, inputs),
            notes=FootNotes(PLANNING_AID, INVENTED if asked.invented else ""),
        )
    )


def beer_forecast_pages(view: BeerForecastView, ppi: float | None = None) -> list[bytes]:
    """The page as a PDF, or as PNG when `ppi` [dots per inch] is given."""
    return render.pages(TEMPLATE, view, {}, ppi)
