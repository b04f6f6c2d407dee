"""Lots written by hand in TOML: a table each, figures under the names of the records. See docs/files.md.

Version 1 had a table of analyses below each lot, under headings such as a certificate prints.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from gristwright.basics import Address, Problem, Refused
from gristwright.files.cells import Cell
from gristwright.files.certificates.columns import Column, column_of, sure_fields, unknown
from gristwright.files.certificates.headings import IDENTITY, read_heading, take_basis
from gristwright.files.certificates.lot_lines import PRINTED, Gathered, figures, make_lot, refuse_too_many
from gristwright.files.reader import Table
from gristwright.files.texts import text_problems
from gristwright.files.toml_in import open_table
from gristwright.records.lot import Analysis, Lot
from gristwright.stages.grist.certificate_units import Field, fields

# What a lot is known by -> the word for it on a certificate, and what is said of it to an editor.
KNOWN_BY = {
    "lot_id": ("lot", "Name of the lot, as bills and enquiries call it."),
    "material": ("material", "Type of malt or grain: a key of `gristwright types`, its title or plain trade words."),
    "supplier": ("supplier", "Who made it."),
    "lot_number": ("lot number", "The supplier's own number of it."),
    "crop": ("crop", "Harvest year, such as 2025."),
    "certificate_sha_256": ("certificate sha 256", "SHA-256 of the file its figures came in, where they came in one."),
    "note": ("note", "A remark; it is not read."),
}
METHODS = "methods"
FORMAT_1 = "gristwright.lots/1"
# How the end of a field's name says its unit.
ENDINGS = {
    "%": "_pct",
    "EBC": "_EBC",
    "mg/L": "_mg_per_L",
    "mg/kg": "_mg_per_kg",
    "ug/kg": "_ug_per_kg",
    "g/t": "_g_per_t",
}
IN_NAMES = {"IoB_colour": "IoB"}


@dataclass(frozen=True)
class Key:
    """A name under which a figure is written: its field and its unit."""

    name: str
    field: Field
    unit: str

    def schema(self) -> dict[str, Any]:
        """What an editor is told of it."""
        said = {"title": self.field.title, "unit": self.unit, "type": "number"}
        bounds = {"minimum": self.field.least, "maximum": self.field.most} if self.unit == self.field.table_unit else {}
        return {**said, **bounds}


@cache
def keys() -> dict[str, Key]:
    """Every name of a figure, in the order of the table of fields."""
    return {key.name: key for field in fields().values() for key in _keys(field)}


def _keys(field: Field) -> list[Key]:
    own = [Key(field.name, field, field.table_unit)]
    if field.kind == "diastatic power":
        return [Key(f"{field.name}_{unit}", field, unit) for unit in field.units] + own
    ending = ENDINGS.get(field.table_unit, "")
    if not ending or not field.name.endswith(ending):
        return own
    stem = field.name.removesuffix(ending)
    others = [unit for unit in field.units if unit != field.table_unit]
    return own + [Key(f"{stem}_{IN_NAMES.get(unit, unit.replace('/', '_per_'))}", field, unit) for unit in others]


def lots_schema() -> dict[str, Any]:
    """The JSON schema of one lot: what it is known by, every figure with its unit, how it was measured."""
    known = {name: {"type": "string", "description": help} for name, (_, help) in KNOWN_BY.items()}
    known["crop"]["type"] = "integer"
    figure = {name: key.schema() for name, key in keys().items()}
    methods = {"type": "object", "additionalProperties": {"type": "string"}}
    methods["description"] = "A figure's name = how it was measured, such as HPLC or N x 5.7."
    return {
        "type": "object",
        "properties": {**known, **figure, METHODS: methods},
        "required": ["lot_id", "material"],
        "additionalProperties": False,
    }


def from_toml(path: Path, gathered: Gathered) -> list[Lot]:
    """The lots of a file; faults are gathered. Raises Refused when nothing further could be read from it."""
    top = open_table(path, "lots", gathered.problems)
    for key in ("lots", "lot"):
        if isinstance(top.data.get(key), list):
            refuse_too_many(len(top.data[key]), top.place(key))
    if "lot" in top.data and str(top.data.get("format")) != FORMAT_1:
        top.asked.add("lot")
        top.fault("lot", "is how lots of version 1 were written.", "Write each as [[lots]], with lot_id and material.")
        return []
    if "lots" in top.data or "lot" not in top.data:
        lots = [_lot(number, table, gathered) for number, table in enumerate(top.tables("lots"), start=1)]
    else:
        lots = [_lot_of_1(number, table, gathered) for number, table in enumerate(top.tables("lot"), start=1)]
    top.nothing_else()
    return lots


def _lot(number: int, table: Table, gathered: Gathered) -> Lot:
    words = {word: str(table.data[key]).strip() for key, (word, _) in KNOWN_BY.items() if key in table.data}
    for key, (word, _) in KNOWN_BY.items():
        if word in PRINTED:
            gathered.problems += text_problems(words.get(word, ""), table.place(key))
    methods = table.table(METHODS, required=False)
    analyses: list[Analysis] = []
    for name, value in table.data.items():
        if name in keys():
            how = methods.text(name, "")
            analyses += _figure(number, keys()[name], value, how, table.place(name), gathered)
    table.nothing_else((*KNOWN_BY, *keys()))
    _strange_methods(methods)
    places = {word: table.place(key) for key, (word, _) in KNOWN_BY.items()}
    return make_lot(words, analyses, table.where, gathered, places, {"lot": "lot_id"})


def _strange_methods(methods: Table) -> None:
    for name in methods.data:
        if name not in methods.asked:
            way_out = "Give the figure, or take the line out." if name in keys() else "Name it as its figure is named."
            methods.fault(name, "is no figure of this lot.", way_out)


def _figure(number: int, key: Key, value: Any, method: str, place: Address, gathered: Gathered) -> list[Analysis]:
    if isinstance(value, bool | list | dict):
        what = f"{_as_toml(value)} is not a number."
        gathered.problems.append(Problem(place, what, f"Write {key.name} = 4.5, or leave the line out."))
        return []
    basis = take_basis(method)[1] or key.field.basis
    column = Column(key.field.name, key.unit, basis, method, key.name)
    return figures(Cell(number, 1, str(value).strip()), column, place, [method], gathered)


def _as_toml(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else "a list" if isinstance(value, list) else "a table"


def _lot_of_1(number: int, table: Table, gathered: Gathered) -> Lot:
    names = {name: name.replace(" ", "_") for name in IDENTITY}
    words = {name: str(table.data[key]).strip() for name, key in names.items() if key in table.data}
    gathered.problems += [p for name in PRINTED for p in text_problems(words.get(name, ""), table.place(names[name]))]
    own = table.table("analyses", required=False)
    table.nothing_else(names.values())
    analyses = []
    beside = sure_fields(read_heading(heading) for heading in own.data)
    for heading, value in own.data.items():
        place = own.place(heading)
        column = _toml_column(heading, place, beside, gathered.problems)
        cell = Cell(number, 1, str(value).strip())
        analyses += figures(cell, column, place, [words.get("method", "")], gathered) if column else []
    return make_lot(words, analyses, table.where, gathered)


def _toml_column(text: str, where: Address, beside: set[str], problems: list[Problem]) -> Column | None:
    heading = read_heading(text)
    if heading.role != "field":
        problems.append(unknown(heading, where))
        return None
    try:
        return column_of(heading, "", where, beside)
    except Refused as refused:
        problems += refused.problems
        return None
