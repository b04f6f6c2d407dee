"""Lots compared and specified. See docs/trade.md."""

from gristwright.casework.trade.compare_lots import compare
from gristwright.casework.trade.specify import specify

__all__ = ["compare", "specify"]
