"""A forecast of one bill as JSON-ready data."""

from __future__ import annotations

from gristwright.basics import Problem
from gristwright.casework.bench import Forecast
from gristwright.documents.bills import bill_view
from gristwright.documents.entries import View, figure_entry, withheld_entry
from gristwright.documents.lots import lots_view
from gristwright.documents.view import assumption_view, assumptions_view
from gristwright.records.results import Withheld
from gristwright.records.trade import Capacity

FORMAT = "gristwright.forecast/1"


def forecast_view(made: Forecast, warnings: tuple[Problem, ...] = ()) -> View:
    """The bill's view with its assumptions and warnings."""
    return {
        "format": FORMAT,
        **bill_view(made.result, ""),
        "lots_table": lots_view(made.result.lots),
        **assumptions_view(made.assumptions, {}, ""),
        "capacity": _capacity(made.capacity, made.result.withheld) if made.capacity else None,
        "warnings": [problem.sentence() for problem in (*warnings, *made.warnings)],
    }


def _capacity(found: Capacity, why: Withheld | None) -> View:
    """The house's week: figures, parts and what they rest on."""
    reason = why.sentence if why else ""
    return {
        "figures": [figure_entry(figure) for figure in found.figures.values()]
        + [withheld_entry(*name, reason) for name in found.withheld],
        "mashes_per_week": [figure_entry(unit.mashes_per_week) for unit in found.units],
        "bottleneck": found.bottleneck,
        "words": list(found.words),
        "assumptions": [assumption_view(assumption, None, "") for assumption in found.assumptions],
    }
