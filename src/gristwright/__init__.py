"""Gristwright: from the grain lot to the cask, with how sure each number is. The map of the house is docs/house.md."""

__version__ = "0.1.0"
