"""A forecast of one bill as JSON-ready data."""

from __future__ import annotations

from gristwright.basics import Problem
from gristwright.casework.one_bill import Forecast
from gristwright.documents.bills import bill_view
from gristwright.documents.entries import View
from gristwright.documents.view import assumptions_view

FORMAT = "gristwright.forecast/1"


def forecast_view(made: Forecast, warnings: tuple[Problem, ...] = ()) -> View:
    """The bill's view with its assumptions and warnings."""
    return {
        "format": FORMAT,
        **bill_view(made.result, ""),
        **assumptions_view(made.assumptions, {}, ""),
        "warnings": [problem.sentence() for problem in (*warnings, *made.warnings)],
    }
