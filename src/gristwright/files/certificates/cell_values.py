"""From a cell to a figure: decimal comma, unit in the cell, what is no measured value. See docs/certificates.md."""

from __future__ import annotations

import re
from dataclasses import dataclass

from gristwright.basics import NOWHERE, Address, Problem, Refused
from gristwright.files.cells import Cell
from gristwright.files.certificates.columns import Column, unit_of
from gristwright.files.certificates.headings import words
from gristwright.quantities.units import parse_number
from gristwright.stages.grist.certificate_units import fields, in_table_unit

NUMBER = r"[+\-−]?(?:\d[\d.,]*|[.,]\d+)(?:[eE][+\-]?\d+)?"
VALUE = re.compile(rf"^(?P<number>{NUMBER})\s*(?:±\s*(?P<within>{NUMBER})\s*)?(?P<unit>[^\d±].*)?$", re.DOTALL)
RANGE = re.compile(rf"^(?P<low>{NUMBER})\s*(?:-|–|—|\.\.|…|bis|to)\s*(?P<high>{NUMBER})(?:\s*\D.*)?$", re.DOTALL)
BELOW = re.compile(rf"^[<≤](?:\s*=)?\s*(?P<number>{NUMBER})\s*(?P<unit>\D.*)?$", re.DOTALL)
NOT_TAKEN = "It counts as not measured."


@dataclass(frozen=True)
class ValueInUnit:
    """A value and the unit it stands in."""

    value: float
    unit: str


def unit_in(cell: Cell) -> str:
    """The unit written into a cell beside its number, or nothing."""
    match = VALUE.match(cell.text)
    return cell.unit or (match["unit"] or "").strip() if match else cell.unit


def is_measured(cell: Cell) -> bool:
    """Whether the cell holds something that is more than a mark for not measured."""
    return cell.filled and words("cell").get(cell.text.lower()) != "not measured"


def figure(cell: Cell, column: Column, place: Address, problems: list[Problem]) -> ValueInUnit | None:
    """The cell's figure, or None after noting why there is none; an unmeasured cell is None without a word."""
    if not is_measured(cell):
        return None
    try:
        return _figure(cell, column, place, problems)
    except Refused as refused:
        problems += [
            Problem(place, p.what, f"{p.way_out} Leave it empty if not measured.", p.warning) for p in refused.problems
        ]
        return None


def _figure(cell: Cell, column: Column, place: Address, problems: list[Problem]) -> ValueInUnit | None:
    if cell.fault:
        raise Refused([Problem(place, f"{cell.fault}.", _mend(cell))])
    if cell.copied:
        what = f"{cell.text!r} is one merged cell over several lots."
        raise Refused([Problem(place, what, "Give each lot a cell of its own.")])
    if cell.number is not None:
        return ValueInUnit(cell.number, _unit(cell.unit, column))
    reason = _no_value(cell.text)
    if reason:
        problems.append(Problem(place, reason, NOT_TAKEN, warning=True))
        return None
    match = VALUE.match(cell.text)
    if not match:
        return ValueInUnit(parse_number(cell.text), column.unit)
    if match["within"]:
        problems.append(Problem(place, f"the ± {match['within']} beside the value is not used.", "", True))
    unit = _unit((match["unit"] or "").strip(), column)
    return ValueInUnit(_number(match["number"], column.field, unit), unit)


def _mend(cell: Cell) -> str:
    if cell.text == "formula":
        return "Open the file in a spreadsheet program, let it calculate, save it and send that."
    return "Format the cell as a number and type the figure again."


def _no_value(text: str) -> str:
    """Why a text is no measured value, or nothing when it may be one."""
    lower = text.lower()
    first = lower.split()[0] if lower.split() else ""
    if words("cell").get(lower) == "below":
        return f"{text!r} says that nothing was found; it is not taken as zero."
    if RANGE.match(text):
        return f"{text!r} is a range, not one value; neither end is taken."
    if BELOW.match(text):
        return f"{text!r} is below what the laboratory can tell; no figure is taken."
    if first.rstrip(":") in words("specification") or lower[:1] in (">", "≥"):
        return f"{text!r} is a specification, not an analysis; it is not taken as measured."
    return ""


def _unit(text: str, column: Column) -> str:
    """The unit of one cell: its own, which must be one of the field's, or else the column's."""
    if not text:
        return column.unit
    unit = unit_of(fields()[column.field], text)
    if unit is None:
        allowed = ", ".join(fields()[column.field].units)
        raise Refused([Problem(NOWHERE, f"unit {text!r} in the cell does not fit.", f"Use one of: {allowed}.")])
    return unit


def _number(text: str, field: str, unit: str) -> float:
    """The number; 1,523 is read only where one of its two readings is possible for the field."""
    try:
        return parse_number(text)
    except Refused as refused:
        if "thousand" not in refused.problems[0].what:
            raise
        fitting = [value for value in (_point(text), _thousand(text)) if _possible(field, value, unit)]
        if len(fitting) != 1:
            raise
        return fitting[0]


def _point(text: str) -> float:
    return float(text.replace("−", "-").replace(",", "."))


def _thousand(text: str) -> float:
    return float(text.replace("−", "-").replace(",", ""))


def _possible(field: str, value: float, unit: str) -> bool:
    bounds = fields()[field]
    try:
        return bounds.least <= in_table_unit(field, value, unit) <= bounds.most
    except Refused:
        return False
