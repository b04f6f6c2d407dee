"""From a heading to one field with one unit and one basis; what is not said is asked for, never guessed."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from gristwright.basics import Address, Problem, Refused
from gristwright.files.certificates.headings import IDENTITY, Heading, normal, take_basis
from gristwright.quantities.units import candidates, find_unit, plain
from gristwright.reference import csv_rows
from gristwright.reference.spelling import LONGEST_NAME, close_to
from gristwright.stages.grist.certificate_units import Field, fields

# How many fields are named beside a heading nobody knows, and from where on one of them is surely meant.
NEAREST, SURELY = 3, 0.78
# What tells that a heading of two meanings is the one: beside their sum, or beside another of its kind, phenol is the
# single substance.
TOLD_BY = {
    "phenol_mg_per_kg": ("phenols_mg_per_kg", "cresols_mg_per_kg", "guaiacol_mg_per_kg", "syringol_mg_per_kg"),
}


@dataclass(frozen=True)
class Column:
    """What the cells under one heading are: field, unit, basis, method."""

    field: str
    unit: str
    basis: str
    method: str
    heading: str


def unit_of(field: Field, text: str) -> str | None:
    """The field's unit that a text names, None when it has no such unit. Raises Refused for a bare L."""
    named = plain(text)
    candidates(text)  # refuses a bare L whatever the field
    for row in csv_rows("tables/certificate_units.csv"):
        spellings = (row["unit"], *row["aliases"].split("|"))
        if row["table_unit"] == field.table_unit and row["unit"] in field.units and named in map(plain, spellings):
            return row["unit"]
    if not field.kind:
        return None
    try:
        unit = find_unit(text, field.kind).name
    except Refused:
        return None
    return unit if unit in field.units else field.table_unit if unit == "extract_pct" else None


def fits(name: str, text: str) -> bool:
    """Whether a text names a unit that the field may come in."""
    try:
        return unit_of(fields()[name], text) is not None
    except Refused:
        return False


def column_of(heading: Heading, unit_text: str, where: Address, beside: Collection[str] = ()) -> Column:
    """The column a heading with its unit makes; `beside` are the fields that other headings of the table surely are.

    Raises Refused with what is missing, does not fit, or may be one of two things.
    """
    try:
        return _column(heading, unit_text, where, beside)
    except Refused as refused:
        # A unit that can be read two ways is refused without its place.
        raise Refused([Problem(where, p.what, p.way_out) for p in refused.problems]) from None


def _column(heading: Heading, unit_text: str, where: Address, beside: Collection[str]) -> Column:
    text, basis = take_basis(heading.unit or unit_text)
    basis = heading.basis or basis
    fitting = [fields()[name] for name in heading.fields]
    fitting = [f for f in fitting if not basis or basis in ("", f.basis)] or fitting
    units = {f.name: unit_of(f, text) for f in fitting} if text else {}
    if not text:
        raise Refused([_asks_unit(heading, fitting, where)])
    with_unit = [f for f in fitting if units[f.name]]
    if not with_unit:
        allowed = ", ".join(dict.fromkeys(unit for f in fitting for unit in f.units))
        raise Refused([Problem(where, f"unit {text!r} does not fit.", f"Use one of: {allowed}.")])
    if not basis and any(f.needs_basis for f in with_unit):
        what = "does not say its basis, and dry and as is differ."
        raise Refused([Problem(where, what, f"Write it as: {_name(heading)} dry [{text}], or … as is [{text}].")])
    field = _one_of(heading, with_unit, where, beside)
    return Column(field.name, units[field.name] or "", basis, heading.method, heading.text)


def _one_of(heading: Heading, fitting: list[Field], where: Address, beside: Collection[str]) -> Field:
    """The one field that fits: of several in one unit on one basis, the one that what stands beside it tells."""
    first = fitting[0]
    alike = [field for field in fitting if (field.table_unit, field.basis) == (first.table_unit, first.basis)]
    told = [field for field in alike if set(TOLD_BY.get(field.name, ())) & set(beside)]
    if len(alike) < 2:
        return first
    if len(told) == 1:
        return told[0]
    what = f"may be {' or '.join(field.title for field in alike)}."
    named = [f"{_plainest(field)} [{field.units[0]}]" for field in alike]
    raise Refused([Problem(where, what, f"They are far apart: ask, and write it as {' or '.join(named)}.")])


def sure_fields(headings: Iterable[Heading]) -> set[str]:
    """The fields of those headings that mean one thing only."""
    return {heading.fields[0] for heading in headings if len(heading.fields) == 1}


def _plainest(field: Field) -> str:
    """The first heading that means this field alone."""
    rows = csv_rows("tables/certificate_headings.csv")
    every = [row["heading"] for row in rows]
    own = (row["heading"] for row in rows if row["field"] == field.name and every.count(row["heading"]) == 1)
    return next(own, field.title)


def _name(heading: Heading) -> str:
    return heading.text.split("[")[0].split("(")[0].strip()


def _asks_unit(heading: Heading, fitting: list[Field], where: Address) -> Problem:
    example = f"{_name(heading)} [{fitting[0].units[0]}]"
    also = list(dict.fromkeys(unit for f in fitting for unit in f.units))
    other = f" It may come in: {', '.join(also)}." if len(also) > 1 else ""
    return Problem(where, "has no unit.", f"Write it in square brackets, such as: {example}.{other}")


def near_fields(text: str, most: int = 4, alike: float = 0.6) -> list[str]:
    """The fields that are called most like a heading, the nearest first; none where nothing is near."""
    return [name for name in _near(text, alike) if name in fields()][:most]


def _near(text: str, alike: float) -> list[str]:
    """Fields and words of identity that are called most like a heading, each once, the nearest first."""
    rows = csv_rows("tables/certificate_headings.csv")
    every = list(dict.fromkeys(row["heading"] for row in rows))
    near = close_to(normal(text[:LONGEST_NAME].split("[")[0]), every, len(every), alike)
    named = [row["field"] for name in near for row in rows if row["heading"] == name]
    return [name for name in dict.fromkeys(named) if name in fields() or name in IDENTITY]


def unknown(heading: Heading, where: Address, also: str = "", look: bool = True) -> Problem:
    """The fault of a heading nobody knows, with the nearest known ones where they are to be looked for."""
    if not look:
        return Problem(where, "is not a field we know.", f"docs/certificates.md has all. {also}".strip())
    sure, near = (_near(heading.text, alike)[:NEAREST] for alike in (SURELY, 0.0))
    if sure:
        way_out = f"Did you mean {' or '.join(map(_called, sure[:2]))}?"
    else:
        *first, last = map(_called, near)
        way_out = f"The nearest are: {', '.join(first)} and {last}; docs/certificates.md has all."
    return Problem(where, "is not a field we know.", f"{way_out} {also}".strip())


def _called(name: str) -> str:
    """A field as a heading that is read, with its unit; a word of identity as it is."""
    return f"{_plainest(fields()[name])} [{fields()[name].units[0]}]" if name in fields() else name
