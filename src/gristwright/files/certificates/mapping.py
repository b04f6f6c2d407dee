"""How one supplier's sheet is to be read: confirmed once, saved, used again. See docs/certificates.md."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from gristwright.basics import Problem, Refused
from gristwright.files.certificates.columns import Column
from gristwright.files.certificates.headings import Heading, read_heading
from gristwright.files.reader import Table
from gristwright.files.reading import Reading
from gristwright.files.toml_in import open_table
from gristwright.files.writing import write_file
from gristwright.reference.near_types import nearest
from gristwright.reference.type_names import type_named
from gristwright.stages.grist.certificate_units import fields

CONSTANTS = ("supplier", "material", "crop", "method")
MOST_WORDS = 1_000
# What of a lot's identity a heading in the supplier's own words may be.
ROLES = ("lot", "lot number", "material", "supplier", "crop")


@dataclass(frozen=True)
class Mapping:
    """What stands where on a sheet. Heading texts are compared without regard to case and spaces.

    `identity` are headings that name a lot or say whose it is, `units` a supplier's own words for units, `methods` how
    what stands under a heading was measured; `given` is
    what somebody said of single lines of one file, by sheet and number of the line, `left_out` are lines that are no
    lot, and `spread` cells of a merged one of which each lot has the value. `supplier` says whose words they are, or
    `headings_sha256` of which headings, so that a map in a folder is found.
    """

    supplier: str = ""
    headings_sha256: str = ""
    sheet: str = ""
    lots_are: str = ""
    lot: str = ""
    ignore: tuple[str, ...] = ()
    constants: dict[str, str] = field(default_factory=dict)
    materials: dict[str, str] = field(default_factory=dict)
    identity: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    methods: dict[str, str] = field(default_factory=dict)
    given: dict[tuple[str, int], dict[str, str]] = field(default_factory=dict)
    left_out: frozenset[tuple[str, int]] = frozenset()
    spread: frozenset[tuple[str, int, int]] = frozenset()
    columns: tuple[Column, ...] = ()

    def headings(self) -> dict[str, Heading]:
        """Every heading the mapping speaks of, by its text in lower case."""
        headings = {_plain(text): Heading(text, "not read") for text in self.ignore}
        headings |= {_plain(text): Heading(text, role) for text, role in self.identity.items()}
        headings |= {
            _plain(c.heading): Heading(c.heading, "field", (c.field,), c.unit, c.basis, c.method) for c in self.columns
        }
        if self.lot:
            # A heading that is a lot number by itself stays one: it names the lot all the same.
            role = "lot number" if read_heading(self.lot).role == "lot number" else "lot"
            headings[_plain(self.lot)] = Heading(self.lot, role)
        return headings

    def material(self, text: str) -> str:
        """The type a supplier's own word stands for, or the word itself."""
        return _said(self.materials, text) or text

    def unit(self, text: str) -> str:
        """The unit that a supplier's own word stands for; nothing when nobody said."""
        return _said(self.units, text)

    def method(self, heading: str) -> str:
        """How the figures under a heading were measured; nothing when nobody said."""
        return _said(self.methods, heading)


def _said(words: dict[str, str], text: str) -> str:
    """What was said of a word, without regard to case and spaces."""
    return next((means for word, means in words.items() if _plain(word) == _plain(text)), "")


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def read_mapping(path: Path) -> Reading[Mapping]:
    """A mapping with every fault of its file."""
    problems: list[Problem] = []
    try:
        top = open_table(path, "map", problems)
    except Refused as refused:
        return Reading(None, (path,), refused.problems)
    constants, materials = top.table("constants", required=False), top.table("materials", required=False)
    identity, units = top.table("identity", required=False), top.table("units", required=False)
    methods = top.table("methods", required=False)
    for table in (materials, identity, units, methods):
        if len(table.data) > MOST_WORDS:
            what = f"has {len(table.data)} words; a map may have {MOST_WORDS} of a kind."
            return Reading(None, (path,), (*problems, Problem(table.where, what, "Keep those that are used.")))
    mapping = Mapping(
        supplier=top.text("supplier", ""),
        headings_sha256=top.text("headings_sha256", ""),
        sheet=top.text("sheet", ""),
        lots_are=top.choice("lots_are", ("rows", "columns"), "rows"),
        lot=top.text("lot", ""),
        ignore=top.texts("ignore"),
        constants={name: value for name in CONSTANTS if (value := _constant(constants, name))},
        materials={word: _type(materials, word) for word in materials.data},
        identity={text: identity.choice(text, ROLES) for text in identity.data},
        units={word: units.text(word) for word in units.data},
        methods={heading: methods.text(heading) for heading in methods.data},
        columns=tuple(column for table in top.tables("heading") if (column := _column(table))),
    )
    constants.nothing_else()
    top.nothing_else()
    return Reading(mapping, (path,), tuple(problems))


def _type(materials: Table, word: str) -> str:
    """The type that a word stands for, which must be one."""
    means = materials.text(word)
    if means and type_named(means) is None:
        near = nearest(means)
        way_out = f"Did you mean {near[0]}?" if near else "Use the key of a type; gristwright types lists them."
        materials.fault(word, f"{means!r} is no type.", way_out)
    return means


def _constant(table: Table, name: str) -> str:
    if name == "crop" and isinstance(table.data.get(name), int):
        table.asked.add(name)
        return str(table.data[name])
    return table.text(name, "")


def _column(table: Table) -> Column | None:
    heading, name = table.text("text"), table.choice("field", tuple(fields()))
    unit, basis = table.text("unit", ""), table.choice("basis", ("", "dry", "as is", "as HCN", "as glycoside"), "")
    method = table.text("method", "")
    table.nothing_else()
    if name not in fields():
        return None
    own = fields()[name]
    if unit not in own.units:
        table.fault("unit", f"{unit!r} is not a unit of {name}.", f"Use one of: {', '.join(own.units)}.")
        return None
    return Column(name, unit, basis, method, heading)


def write_mapping(path: Path, mapping: Mapping, unknown: Sequence[str] = (), types: Sequence[str] = ()) -> None:
    """Save a mapping, whole or not at all. Unknown headings and names of types stand in it as comments to fill in.

    Raises Refused when it cannot be written.
    """
    write_file(path, as_toml(mapping, unknown, types).encode())


def as_toml(mapping: Mapping, unknown: Sequence[str] = (), types: Sequence[str] = ()) -> str:
    """A mapping as TOML, in the order a person reads it."""
    lines = [
        'format = "gristwright.map/1"',
        "# Correct what is wrong; in a folder `maps` beside a file of lots it reads every file of its supplier.",
        *_whose(mapping),
        *([f"sheet = {_quoted(mapping.sheet)}"] if mapping.sheet else []),
        f"lots_are = {_quoted(mapping.lots_are or 'rows')}",
        *([f"lot = {_quoted(mapping.lot)}"] if mapping.lot else []),
        f"ignore = [{', '.join(_quoted(text) for text in mapping.ignore)}]",
    ]
    if types and not mapping.materials:
        lines += [
            "",
            "# Names nobody knows: take the marks away and give the key of a type (gristwright types).",
            "# [materials]",
        ]
        lines += [f'# {_quoted(text)} = ""' for text in types]
    tables = {name: getattr(mapping, name) for name in ("constants", "materials", "identity", "units", "methods")}
    for title, values in tables.items():
        if values:
            lines += ["", f"[{title}]", *(f"{_key(name)} = {_quoted(text)}" for name, text in values.items())]
    for column in mapping.columns:
        lines += ["", "[[heading]]", *_column_lines(column)]
    if unknown:
        lines += ["", "# Headings nobody knows: add each to ignore, or take the marks away and say what it is."]
        lines += ["# Who or what a lot is goes into a table of its own: lot, lot number, material, supplier or crop."]
        lines += ["# [identity]", *(f'# {_quoted(text)} = ""' for text in unknown)]
    for text in unknown:
        lines += ["", "# [[heading]]", f"# text = {_quoted(text)}", '# field = ""', '# unit = ""']
    return "\n".join(lines) + "\n"


def _whose(mapping: Mapping) -> list[str]:
    if mapping.supplier:
        return [f"supplier = {_quoted(mapping.supplier)}"]
    return [f"headings_sha256 = {_quoted(mapping.headings_sha256)}"] if mapping.headings_sha256 else []


def _column_lines(column: Column) -> list[str]:
    values = {"text": column.heading, "field": column.field, "unit": column.unit}
    values |= {name: text for name, text in (("basis", column.basis), ("method", column.method)) if text}
    return [f"{name} = {_quoted(text)}" for name, text in values.items()]


def _key(name: str) -> str:
    return name if name in CONSTANTS else _quoted(name)


def _quoted(text: str) -> str:
    """A TOML basic string; JSON escapes are TOML escapes, but for the delete character."""
    return json.dumps(text, ensure_ascii=False, allow_nan=False).replace("\x7f", "\\u007f")
