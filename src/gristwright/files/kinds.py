"""Kinds of files, and what is said when one is given in place of another. See docs/files.md."""

from __future__ import annotations

from gristwright.basics import Address, Problem
from gristwright.quantities.shown import capital

# What each kind is called with its article, and where a file of it belongs.
CALLED = {
    "enquiry": ("an enquiry", "Answer it with gristwright advise"),
    "bill": ("a bill", "Follow it with gristwright run"),
    "plant": ("a plant", "A bill or an enquiry names it in its line plant"),
    "lots": ("lots", "They go behind --lots"),
    "map": ("a map", "It goes behind --map"),
}
WANTED = {
    "enquiry": "give the enquiry",
    "bill": "give the bill",
    "plant": "name the file of the plant",
    "lots": "give the lots: XLSX, CSV, or written in TOML",
    "map": "give a map, as gristwright lots FILE --save-map writes it",
}
TABLES = (".csv", ".tsv", ".txt", ".tab", ".xlsx", ".xls", ".xlsm", ".ods")
# What a command is called with.
ASKED = ("enquiry", "bill")


def wrong_kind(where: Address, found: str, wanted: str) -> Problem | None:
    """The fault of a file that says it is of another kind; None when what it says is no kind at all."""
    kind = found.partition("/")[0].removeprefix("gristwright.")
    if kind not in CALLED or kind == wanted:
        return None
    called, belongs = CALLED[kind]
    instead = f"{belongs}, or {WANTED[wanted]}" if wanted in ASKED else capital(WANTED[wanted])
    return Problem(where, f"is {called}, not {CALLED[wanted][0]}.", f"{instead}.")


def no_toml(name: str, wanted: str) -> Problem | None:
    """The fault of a table given where a TOML file is wanted, by the ending of its name."""
    if wanted not in CALLED or not name.lower().endswith(TABLES):
        return None
    lots = "A table of lots goes behind --lots, or " if wanted in ASKED else ""
    way_out = capital(f"{lots}{WANTED[wanted]}")
    return Problem(Address(name), f"is a table, not {CALLED[wanted][0]}.", f"{way_out}, a TOML file.")
