"""The mash-house order of a bill alone: paper and JSON, in a language. See docs/order.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gristwright.documents import render
from gristwright.documents.data import as_data
from gristwright.documents.entries import DateView, readable
from gristwright.documents.order import OrderView, order_view
from gristwright.documents.speech import Speech
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import LotIdentity
from gristwright.records.order import MashOrder

FORMAT: Final = "gristwright.order/1"
TEMPLATE, PART = "order.typ", "order_part.typ"


@dataclass(frozen=True)
class SheetNotes:
    """What stands over and under the sheet."""

    planning_aid: str
    invented: str


@dataclass(frozen=True)
class OrderSheet:
    """The order of one bill as a sheet of its own."""

    format: str
    language: str
    title: str
    customer: str
    invented: bool
    issued: DateView
    notes: SheetNotes
    warnings: tuple[str, ...]
    order: OrderView


def order_sheet(
    order: MashOrder,
    sheet: BillSheet,
    lots: dict[str, LotIdentity],
    tongue: Speech,
    warnings: tuple[str, ...] = (),
) -> OrderSheet:
    """The sheet of an order: whose house it is, the day of the law of its bill, the order itself."""
    view = order_view(order, lots, tongue, alone=True)
    day = DateView(sheet.date.isoformat(), tongue.date(sheet.date))
    notes = SheetNotes(view.words["planning_aid"], "")
    return readable(OrderSheet(FORMAT, tongue.language, view.title, order.house, False, day, notes, warnings, view))


def sheet_pages(view: OrderSheet, paper: str = "a4", ppi: float | None = None) -> list[bytes]:
    """The sheet as one tagged PDF, or as one PNG a page when `ppi` [dots per inch] is given."""
    return render.pages(TEMPLATE, view, render.templates(PART), ppi, {"paper": paper})


def sheet_json(view: OrderSheet) -> bytes:
    """The sheet as JSON: every text in its language, and what it was said from."""
    return render.data_json(as_data(view))
