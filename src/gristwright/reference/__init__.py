"""Tables, priors and rules as data files with their sources, and what loads them. See docs/reference.md."""

from gristwright.reference.load import csv_rows, priors, process_priors, toml_table

__all__ = ["csv_rows", "priors", "process_priors", "toml_table"]
