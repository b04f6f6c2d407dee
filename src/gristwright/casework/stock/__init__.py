"""Casks in stock: ledger, gauges, forecasts, vattings. See docs/stock.md."""

from gristwright.casework.stock.ages import in_words
from gristwright.casework.stock.fill_for import USUAL_KINDS, Wanted, fill_for, last_day
from gristwright.casework.stock.forecast import Bottling, forecast
from gristwright.casework.stock.ledger import assemble
from gristwright.casework.stock.one_cask import one_cask
from gristwright.casework.stock.regauge import DRAWS, LEAK_MULTIPLE, StoreBelief, leakers, learn, regauge
from gristwright.casework.stock.vatting import Vat, vat

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
    "forecast",
    "in_words",
    "last_day",
    "leakers",
    "learn",
    "one_cask",
    "regauge",
    "vat",
]
