"""Read the tables that ship with the package."""

from __future__ import annotations

import csv
import tomllib
from decimal import Decimal
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from gristwright.basics import Prior, Source, Standing

# The rooms that draw process parameters.
ROOMS = ("grist", "mash", "wash", "still", "cask", "bottle")


# Where every table is read from.
ROOT: Traversable = files("gristwright.reference")


@cache
def toml_table(path: str) -> dict[str, Any]:
    """A TOML file below reference/, decimals kept exact."""
    text = ROOT.joinpath(path).read_text(encoding="utf-8")
    return tomllib.loads(text, parse_float=Decimal)


@cache
def csv_rows(path: str) -> tuple[dict[str, str], ...]:
    """The rows of a CSV file below reference/; its source stands in the .toml of the same name."""
    text = ROOT.joinpath(path).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def file_names(folder: str) -> list[str]:
    """The names of the files of a folder below reference/."""
    return sorted(item.name for item in ROOT.joinpath(folder).iterdir())


def prior_from(name: str, entry: dict[str, Any]) -> Prior:
    """One entry of a priors file as a Prior."""
    arguments = tuple(float(x) for x in entry["arguments"])
    source = Source(entry["source"], Standing(entry["standing"]), entry.get("note", ""))
    low, high = (float(x) for x in entry.get("bounds", (float("-inf"), float("inf"))))
    if entry["family"] in ("uniform", "loguniform"):
        low, high = arguments
    return Prior(name, entry["meaning"], entry["unit"], entry["family"], arguments, low, high, source)


@cache
def priors(room: str) -> tuple[Prior, ...]:
    """The priors of one room, in the order of its file priors/<room>.toml."""
    return tuple(prior_from(name, entry) for name, entry in toml_table(f"priors/{room}.toml").items())


def process_priors() -> tuple[Prior, ...]:
    """The process parameters of every room, room after room."""
    return tuple(prior for room in ROOMS for prior in priors(room))
