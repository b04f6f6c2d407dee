"""A year of each bill, and what moves the answer from outside, as views. See docs/order.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.documents.cells import RowView, number_row
from gristwright.documents.entries import STATED, Entry, figure_entry, single, withheld_entries
from gristwright.documents.order import TODAY
from gristwright.quantities.shown import capital, fewest_decimals
from gristwright.records import order as o

CHANGES = ("change_lpa", "change_cost", "same_litres")
SAID = {
    "below": "cheaper than today below it",
    "above": "cheaper than today above it",
    "never": "dearer than today even with it for nothing",
    "always": "cheaper than today at any price of it",
    "unsure": "no price of it turns it: both bills use nearly the same for a litre",
}


@dataclass(frozen=True)
class YearView:
    """A year of one bill: tonnes of each lot, litres and money."""

    letter: str
    bill: str
    tonnes: dict[str, Entry]
    figures: dict[str, Entry]


@dataclass(frozen=True)
class AnnualView:
    """A year of each bill in columns; rows are tonnes of each lot, litres and money."""

    bills: tuple[YearView, ...]
    columns: tuple[str, ...]
    rows: tuple[RowView, ...]


@dataclass(frozen=True)
class OnePercentView:
    """One per cent of the grist more of a lot, taken from another."""

    lot: str
    title: str
    instead_of: str
    litres: Entry
    cost: Entry


@dataclass(frozen=True)
class FlipView:
    """The price of a lot at which offers turn."""

    lot: str
    offers: tuple[str, ...]
    now: Entry
    price: Entry | None
    cheaper: str
    words: str


@dataclass(frozen=True)
class SensitivityView:
    """One per cent more of each lot, and the prices at which offers turn; or why there is neither."""

    around: str
    withheld: str
    one_percent: tuple[OnePercentView, ...]
    flips: tuple[FlipView, ...]


def annual_view(lines: Sequence[o.AnnualLine]) -> AnnualView:
    """A year of each bill side by side."""
    bills = tuple(_year(line) for line in lines)
    return AnnualView(bills, tuple(bill.letter for bill in bills), tuple(_rows(bills)))


def _year(line: o.AnnualLine) -> YearView:
    tonnes = {
        lot: single(lot, lot, "t", value, fewest_decimals(value, 1), "share of the tonnes of the plant file")
        for lot, value in line.tonnes
    }
    figures = {key: figure_entry(figure, difference=key in CHANGES) for key, figure in line.figures.items()}
    return YearView(line.letter or TODAY, line.bill, tonnes, figures | withheld_entries(line.withheld))


def _rows(bills: Sequence[YearView]) -> list[RowView]:
    lots = dict.fromkeys(lot for bill in bills for lot in bill.tonnes)
    keys = {key: figure for bill in bills for key, figure in bill.figures.items()}
    rows = [number_row(lot, "t", [bill.tonnes.get(lot) for bill in bills]) for lot in lots]
    return rows + [
        number_row(figure.label, figure.unit, [bill.figures.get(key) for bill in bills]) for key, figure in keys.items()
    ]


def sensitivity_view(sensitivity: o.Sensitivity) -> SensitivityView:
    """What moves the answer; equal prices said once."""
    one_percent = tuple(_one_percent(one) for one in sensitivity.one_percent)
    return SensitivityView(sensitivity.around, sensitivity.withheld, one_percent, tuple(_flips(sensitivity.flips)))


def _one_percent(one: o.OnePercent) -> OnePercentView:
    litres, cost = (figure_entry(figure, difference=True) for figure in (one.lpa_per_t, one.cost_per_lpa))
    return OnePercentView(one.lot_id, capital(one.title), one.instead_of, litres, cost)


def _flips(flips: Sequence[o.FlipPrice]) -> list[FlipView]:
    held: dict[tuple[str, str, str], list[o.FlipPrice]] = {}
    for flip in flips:
        price = figure_entry(flip.price).text if flip.price else ""
        held.setdefault((flip.lot_id, flip.cheaper, price), []).append(flip)
    return [_flip(group) for group in held.values()]


def _flip(group: Sequence[o.FlipPrice]) -> FlipView:
    """Offers that turn at the same price of a lot."""
    first = group[0]
    now = single(
        "price_now", f"price of {first.lot_id} now", "", first.price_now, fewest_decimals(first.price_now), STATED
    )
    price = figure_entry(first.price) if first.price else None
    offers = tuple(flip.letter for flip in group)
    return FlipView(first.lot_id, offers, now, price, first.cheaper, SAID[first.cheaper])
