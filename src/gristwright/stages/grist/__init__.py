"""Grist: what the blended certificates promise, and whether the bill converts by its own enzymes. See docs/grist.md."""
