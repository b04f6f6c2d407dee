"""Markers of caramel, roast and smoke from malt to cask. See docs/give_and_gain.md."""
