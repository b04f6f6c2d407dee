"""Kinds of files, and what is said when one is given in place of another. See docs/files.md."""

from __future__ import annotations

from gristwright.basics import Address, Problem

# What each kind is called with its article, and the way out where another is wanted: what is to be given instead.
CALLED = {
    "enquiry": ("an enquiry", "Answer it with gristwright advise, or give {}."),
    "bill": ("a bill", "Follow it with gristwright run, or give {}."),
    "plant": ("a plant", "Give {}, which names its plant."),
    "lots": ("lots", "Give {}; lots go behind --lots."),
    "map": ("a map", "Give {}; a map goes behind --map."),
}
WANTED = {
    "enquiry": "the enquiry",
    "bill": "the bill",
    "plant": "the file of the plant",
    "lots": "the lots: XLSX, CSV, or written in TOML",
    "map": "a map, as gristwright lots FILE --save-map writes it",
}
TABLES = (".csv", ".tsv", ".txt", ".tab", ".xlsx", ".xls", ".xlsm", ".ods")
# What a command is called with.
ASKED = ("enquiry", "bill")


def wrong_kind(where: Address, found: str, wanted: str) -> Problem | None:
    """The fault of a file that says it is of another kind; None when what it says is no kind at all."""
    kind = found.partition("/")[0].removeprefix("gristwright.")
    if kind not in CALLED or kind == wanted:
        return None
    called, way_out = CALLED[kind]
    instead = way_out.format(WANTED[wanted]) if wanted in ASKED else f"Give {WANTED[wanted]}."
    return Problem(where, f"is {called}, not {CALLED[wanted][0]}.", instead)


def no_toml(name: str, wanted: str) -> Problem | None:
    """The fault of a table given where a TOML file is wanted, by the ending of its name."""
    if wanted not in CALLED or not name.lower().endswith(TABLES):
        return None
    lots = "; a table of lots goes behind --lots" if wanted in ASKED else ""
    return Problem(Address(name), f"is a table, not {CALLED[wanted][0]}.", f"Give {WANTED[wanted]}, a TOML file{lots}.")
