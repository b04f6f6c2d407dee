"""Scores of a panel with assessors and casks drawn at random. See docs/ageing.md."""
