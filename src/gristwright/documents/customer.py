"""The customer's two pages put in a language, from sentences that an answer keeps. See docs/languages.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from gristwright.charts.customer import PictureLine, customer_chart
from gristwright.charts.theme import Chart
from gristwright.documents.cells import CellView
from gristwright.documents.data import Frozen, as_data
from gristwright.documents.speech import Speech, speech
from gristwright.quantities.shown import NOTHING, capital
from gristwright.records.customer import BillAnswer, Cell, CustomerPages, Picture, PictureBar, pages_of
from gristwright.records.said import Amount, Said, said

LABELS = (
    "question", "answer", "customer", "adviser", "issued", "draft", "valid", "side", "dose", "monday", "rests", "mind",
    "lifts", "kind", "annex", "bands", "sign_adviser", "sign_customer", "invented", "planning_aid", "page", "of",
)  # fmt: skip
VERDICTS = ("good", "watch", "name", "no", "withheld")
PICTURE = "customer.svg"
LONG_LABEL = 24  # characters; a picture with a longer one takes the whole width


@dataclass(frozen=True)
class BillText:
    """One bill in sentences."""

    name: str
    letter: str
    verdict: str  # good / watch / name / no / withheld
    verdict_words: str
    lines: tuple[str, ...]
    lifts: tuple[str, ...]


@dataclass(frozen=True)
class RowText:
    """One row of the table."""

    label: str
    cells: tuple[CellView, ...]


@dataclass(frozen=True)
class PictureText:
    """The picture with its title."""

    title: str
    chart: Chart
    width: str  # on paper


@dataclass(frozen=True)
class CustomerView:
    """The two pages in a language; `kept` is what they were said from, so that another language can say them too.

    `dates` are those of the paper, by name, and follow its issue.
    """

    language: str
    question: str
    headline: str
    bills: tuple[BillText, ...]
    columns: tuple[str, ...]
    rows: tuple[RowText, ...]
    picture: PictureText | None
    dose: tuple[str, ...]
    monday: tuple[str, ...]
    rests_on: tuple[str, ...]
    cautions: tuple[str, ...]
    words: dict[str, str]
    dates: dict[str, str]
    kept: CustomerPages


def customer_view(pages: CustomerPages, language: str = "") -> CustomerView:
    """The pages in their own language, or in another. Raises Refused for one we do not print in."""
    tongue = speech(language or pages.language)
    say = tongue.say
    words = {key: say(said(f"customer.label.{key}")) for key in (*LABELS, *VERDICTS)}
    return CustomerView(
        language=tongue.language,
        question=pages.question,
        headline=say(pages.headline),
        bills=tuple(_bill(bill, tongue, words) for bill in pages.bills),
        columns=tuple(say(column) for column in pages.columns),
        rows=tuple(RowText(say(row.label), tuple(_cell(cell, tongue) for cell in row.cells)) for row in pages.rows),
        picture=_picture(pages.picture, tongue),
        dose=tuple(say(line) for line in pages.dose),
        monday=tuple(say(line) for line in pages.monday),
        rests_on=tuple(say(line) for line in pages.rests_on),
        cautions=tuple(say(line) for line in pages.cautions),
        words=words,
        dates={},
        kept=pages,
    )


def printed(data: Frozen, language: str = "") -> dict[str, Any]:
    """A document's data with its customer's pages and its order in a language, their own where none is named; dated.

    Raises Refused for a language we do not print in.
    """
    if "customer_pages" not in data:  # of an earlier release
        return dict(data)
    before = data["customer_pages"]
    pages = as_data(customer_view(pages_of(before["kept"]), language)) if language else dict(before)
    tongue = speech(pages["language"])
    dates = {name: tongue.date(dt.date.fromisoformat(data[name]["iso"])) for name in ("issued", "valid_until")}
    order = data.get("order_in", {}).get(language)
    return {**data, "customer_pages": {**pages, "dates": dates}, **({"order": order} if order else {})}


def _bill(bill: BillAnswer, tongue: Speech, words: Mapping[str, str]) -> BillText:
    return BillText(
        name=bill.name,
        letter=bill.letter,
        verdict=bill.verdict,
        verdict_words=words[bill.verdict],
        lines=tuple(tongue.say(line) for line in bill.lines),
        lifts=tuple(tongue.say(line) for line in bill.lifts),
    )


def _cell(cell: Cell, tongue: Speech) -> CellView:
    match cell:
        case None:
            return CellView(NOTHING)
        case Amount():
            apart = cell.low is not None and cell.high is not None and cell.low < cell.high
            return CellView(tongue.amount(cell), tongue.ends(cell) if apart else "")
        case Said():
            return CellView(tongue.say(cell))
    return CellView(cell)


def _picture(picture: Picture | None, tongue: Speech) -> PictureText | None:
    if picture is None:
        return None
    title = tongue.say(picture.title)
    lines = [_line(bar, tongue) for bar in picture.bars]
    long = max(len(line.label) for line in lines) > LONG_LABEL
    return PictureText(title, customer_chart(title, lines), "100%" if long else "75%")


def _line(bar: PictureBar, tongue: Speech) -> PictureLine:
    amount = bar.amount
    low = amount.value if amount.low is None else amount.low
    high = amount.value if amount.high is None else amount.high
    label = bar.label if isinstance(bar.label, str) else capital(tongue.say(bar.label))
    return PictureLine(label, amount.value, low, high, tongue.number(amount), bar.today)
