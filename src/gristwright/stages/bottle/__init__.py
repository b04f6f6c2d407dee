"""Reducing with water and filling bottles. See docs/bottle.md."""
