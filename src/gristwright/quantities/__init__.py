"""Units and conversions of the trade, and spirit gauging. See docs/quantities.md."""
