"""Casks in stock: ledger, gauges, forecasts, vattings. See docs/stock.md."""

from gristwright.casework.stock.ages import in_words
from gristwright.casework.stock.fill_for import USUAL_KINDS, Wanted, fill_for, last_day
from gristwright.casework.stock.forecast import Bottling, forecast, too_many_named
from gristwright.casework.stock.ledger import assemble
from gristwright.casework.stock.one_cask import one_cask, row_of
from gristwright.casework.stock.pace import told_of
from gristwright.casework.stock.regauge import DRAWS, LEAK_MULTIPLE, StoreBelief, leakers, learn, regauge
from gristwright.casework.stock.vatting import Vat, fitting, vat

__all__ = [
    "DRAWS",
    "LEAK_MULTIPLE",
    "USUAL_KINDS",
    "Bottling",
    "StoreBelief",
    "Vat",
    "Wanted",
    "assemble",
    "fill_for",
    "fitting",
    "forecast",
    "in_words",
    "last_day",
    "leakers",
    "learn",
    "one_cask",
    "regauge",
    "row_of",
    "told_of",
    "too_many_named",
    "vat",
]
