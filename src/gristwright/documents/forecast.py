"""A forecast of one bill as a view."""

from __future__ import annotations

from dataclasses import dataclass, field

from gristwright.basics import Problem
from gristwright.casework.bench import Forecast
from gristwright.documents.assumptions import AssumedView, AssumptionView, assumption_view, assumptions_view
from gristwright.documents.bills import BillView, bill_view
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import Entry, figure_entry, withheld_entry
from gristwright.documents.lots import LotsView, lots_view
from gristwright.records.results import Withheld
from gristwright.records.trade import Capacity

FORMAT = "gristwright.forecast/1"


@dataclass(frozen=True)
class CapacityView:
    """The house's week: figures, parts and what they rest on."""

    figures: tuple[Entry, ...]
    mashes_per_week: tuple[Entry, ...]
    bottleneck: str
    words: tuple[str, ...]
    assumptions: tuple[AssumptionView, ...]


@dataclass(frozen=True)
class ForecastView:
    """A bill with its lots, its assumptions, the house's week and the warnings."""

    format: str
    bill: BillView = field(metadata=SPREAD)
    lots_table: LotsView
    assumed: AssumedView = field(metadata=SPREAD)
    capacity: CapacityView | None
    warnings: tuple[str, ...]


def forecast_view(made: Forecast, warnings: tuple[Problem, ...] = ()) -> ForecastView:
    """Every text and number of a forecast."""
    return ForecastView(
        format=FORMAT,
        bill=bill_view(made.result, ""),
        lots_table=lots_view(made.result.lots),
        assumed=assumptions_view(made.assumptions, {}, ""),
        capacity=_capacity(made.capacity, made.result.withheld) if made.capacity else None,
        warnings=(*(problem.sentence() for problem in (*warnings, *made.warnings)), *made.remarks),
    )


def _capacity(capacity: Capacity, why: Withheld | None) -> CapacityView:
    reason = why.sentence if why else ""
    figures = (figure_entry(figure) for figure in capacity.figures.values())
    return CapacityView(
        figures=(*figures, *(withheld_entry(*name, reason) for name in capacity.withheld)),
        mashes_per_week=tuple(figure_entry(unit.mashes_per_week) for unit in capacity.units),
        bottleneck=capacity.bottleneck,
        words=capacity.words,
        assumptions=tuple(assumption_view(assumption) for assumption in capacity.assumptions),
    )
