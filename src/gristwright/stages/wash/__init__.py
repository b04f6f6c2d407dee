"""Wash: alcohol in the washback against the predicted yield. See docs/wash.md."""
