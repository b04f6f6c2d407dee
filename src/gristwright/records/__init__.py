"""Frozen records that pass between the rooms. A stage takes records and returns a new one. See docs/house.md."""
