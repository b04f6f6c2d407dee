"""Processes for what may break: under limits, ended when they take too long. See docs/desk.md."""
