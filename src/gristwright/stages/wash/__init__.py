"""Wash: alcohol in the washback against the predicted yield, which already holds fermentation loss. See docs/wash.md."""
