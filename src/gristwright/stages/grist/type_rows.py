"""Whether a type of malt or grain is whole: its words, the fields it must show, names, marker. See docs/types.md.

Data: reference/tables/types.toml, types.csv, type_names.csv, and what they lean on: grains.csv, markers.csv,
smoke_patterns.csv.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from gristwright.basics import Address, Problem, Refused, Standing
from gristwright.records.lot import HUSK
from gristwright.reference import csv_rows, toml_table
from gristwright.reference.grains import grains, opening
from gristwright.stages.grist.certificate_units import fields
from gristwright.stages.grist.derived_types import ENDS, RULES

TYPES, VALUES, NAMES = "tables/types.toml", "tables/types.csv", "tables/type_names.csv"
MARKERS, SMOKES = "tables/markers.csv", "tables/smoke_patterns.csv"
# Words of a type -> what each must be.
WORDS = {"title": str, "species": str, "malted": bool, "form": str, "process": str, "specialty": bool}


def type_problems() -> list[Problem]:
    """Every type that is only half there, by its name and what it lacks. Raises Refused for grains that are."""
    grains()  # not whole, they are refused here once and not for every type
    types = toml_table(TYPES)["type"]
    problems = [problem for key, entry in types.items() for problem in _words(key, entry)]
    problems += [problem for row in csv_rows(VALUES) for problem in _value(row, types)]
    problems += [_fault(NAMES, row["material"], "is named and is no type.") for row in csv_rows(NAMES)
              if row["material"] not in types]  # fmt: skip
    if problems:
        return problems
    return [*(problem for key, entry in types.items() for problem in _whole(key, entry)), *_without_type(types)]


def _fault(table: str, key: str, what: str, way_out: str = "Add it, with its source.") -> Problem:
    return Problem(Address(table).to(key), what, way_out)


def _words(key: str, entry: Mapping[str, Any]) -> Iterator[Problem]:
    """What the type is: every word there, the grain kept so, what it was smoked with."""
    missing = [name for name, kind in WORDS.items() if not isinstance(entry.get(name), kind) or entry[name] == ""]
    for name in missing:
        yield _fault(TYPES, key, f"has no {name}.", "Add it.")
    if missing:
        return
    if entry["process"] not in toml_table(TYPES)["process"]:
        yield _fault(TYPES, key, f"process = {entry['process']!r} is not known.", "Say whether it is dark.")
    try:
        if entry["form"] != HUSK:
            opening(entry["species"], entry["malted"], f"{TYPES}, {key}")
    except Refused as refused:
        yield from refused.problems
    if (entry["process"] == "smoked") != bool(entry.get("smoke")):
        yield _fault(TYPES, key, "is smoked without smoke, or has smoke and is not smoked.", "Say what was burnt.")


def _value(row: Mapping[str, str], types: Mapping[str, Any]) -> Iterator[Problem]:
    """A value of a type: of a known type and field, in its unit, in order, with a source."""
    key, name = row["material"], row["field"]
    if key not in types or name not in fields():
        yield _fault(VALUES, key, f"{name} is of a type or a field that is not known.", "Add it, or correct the word.")
        return
    if row["unit"] != fields()[name].table_unit:
        yield _fault(VALUES, key, f"{name} is in {row['unit']}, not in {fields()[name].table_unit}.", "Convert it.")
    if not row["source"] or row["standing"] not in tuple(Standing):
        yield _fault(VALUES, key, f"{name} has no source or no standing.")
    ladder = [_number(row[end]) for end in ENDS]
    if not all(one <= two for one, two in pairwise(ladder)):
        yield _fault(VALUES, key, f"{name} lacks a figure, or they are out of order: {', '.join(ENDS)}.", "Mend it.")


def _number(text: str | None) -> float:
    try:
        return float(text or "nan")
    except ValueError:
        return math.nan


def _whole(key: str, entry: Mapping[str, Any]) -> Iterator[Problem]:
    """What other tables must hold of the type."""
    asked, shown = toml_table(TYPES)["asked"], _shown(key)
    for name in (*asked["always"], *asked["malted" if entry["malted"] else "unmalted"]):
        if name not in shown:
            yield _fault(VALUES, key, f"has no {name}.")
    if key not in {row["material"] for row in csv_rows(NAMES)}:
        yield _fault(NAMES, key, "has no plain name.", "Add the words it goes by.")
    process = entry["process"]
    plain = process == "none" or toml_table(TYPES)["process"][process].get("plain", False)
    if not plain and not any(process in row["processes"].split("|") for row in csv_rows(MARKERS)):
        yield _fault(MARKERS, key, f"no marker is told of {process} grain.", "Add what it brings to the spirit.")
    if "smoke" in entry and entry["smoke"] not in {row["smoke"] for row in csv_rows(SMOKES)}:
        yield _fault(SMOKES, key, f"there is no pattern of {entry['smoke']} smoke.")


def _without_type(types: Mapping[str, Any]) -> Iterator[Problem]:
    """Grains that are kept raw or malted, and of which no type is so."""
    there = {(entry["species"], entry["malted"]) for entry in types.values() if entry["form"] != HUSK}
    for each in grains().values():
        for malted, kept in ((False, each.mashed and each.mashed.raw), (True, each.mashed and each.mashed.malt)):
            if kept and (each.name, malted) not in there:
                how = "malted" if malted else "raw"
                what = f"is kept {how} in tables/grains.csv and no type of it is."
                yield _fault(TYPES, each.name, what, "Add the type, or keep the grain otherwise.")


def _shown(key: str) -> set[str]:
    """The fields a type shows, those that follow from others among them."""
    shown = {row["field"] for row in csv_rows(VALUES) if row["material"] == key}
    for row in csv_rows("tables/types_derived.csv"):
        if set(RULES[row["field"]][0]) <= shown:
            shown.add(row["field"])
    return shown
