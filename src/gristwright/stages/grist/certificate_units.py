"""Fields of a certificate and their units: what each may come in, and the value in the unit of the types table.

See docs/certificates.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from gristwright.quantities import conversion, diastatic, extract
from gristwright.quantities.shown import told_apart
from gristwright.records.lot import Analysis, Lot
from gristwright.reference import csv_rows

# Epiheterodendrin over hydrogen cyanide by molar mass, 261.3 / 27.03.
GLYCOSIDE_PER_HCN = 9.7
AS_HCN = "as HCN"
# Beyond it a figure cannot be moved between dry and as is.
MOST_MOISTURE_PCT = 99.0


@dataclass(frozen=True)
class Field:
    """One field: its unit in the types table, the units it may come in, its basis, and bounds that nothing passes."""

    name: str
    title: str
    short: str
    table_unit: str
    units: tuple[str, ...]
    kind: str
    basis: str
    needs_basis: bool
    least: float
    most: float


@cache
def fields() -> dict[str, Field]:
    """Every field by name, in the order of the table."""
    return {row["field"]: _field(row) for row in csv_rows("tables/certificate_fields.csv")}


def _field(row: dict[str, str]) -> Field:
    return Field(
        name=row["field"],
        title=row["title"],
        short=row["short"],
        table_unit=row["table_unit"],
        units=tuple(row["units"].split()),
        kind=row["kind"],
        basis=row["basis"],
        needs_basis=row["needs_basis"] == "yes",
        least=float(row["least"]),
        most=float(row["most"]),
    )


@cache
def factor(table_unit: str, unit: str) -> float | None:
    """What a value in `unit` is multiplied by to stand in the table's unit; None when no factor does it."""
    rows = csv_rows("tables/certificate_units.csv")
    row_of = next((row for row in rows if (row["table_unit"], row["unit"]) == (table_unit, unit)), None)
    return float(row_of["factor"]) if row_of else None


def in_table_unit(name: str, value: float, unit: str) -> float:
    """A value of a field in the unit of the types table; basis untouched.

    Raises Refused when the unit is of another kind.
    """
    field = fields()[name]
    times = factor(field.table_unit, unit)
    if unit == field.table_unit or times is not None:
        return value * (times or 1.0)
    if field.kind == "diastatic power":
        return float(diastatic.convert(value, unit, "degLintner").value)
    to = "extract_pct" if field.kind == "extract" else field.table_unit
    return conversion.convert(value, unit, to).value


def on_table_basis(analysis: Analysis, value: float, moisture_pct: float | None) -> float | None:
    """A value brought to the basis its field is kept on; None when that takes a moisture which is not known."""
    wanted = fields()[analysis.field].basis
    if analysis.basis == AS_HCN:
        return value * GLYCOSIDE_PER_HCN
    if not wanted or analysis.basis not in ("dry", "as is") or analysis.basis == wanted:
        return value
    if moisture_pct is None or not 0.0 <= moisture_pct < MOST_MOISTURE_PCT:
        return None
    change = extract.dry_pct if wanted == "dry" else extract.as_is_pct
    return float(change(value, moisture_pct))


@dataclass(frozen=True)
class Normal:
    """A certificate in the units and on the bases of the types table: `each` analysis as it is printed, in their order
    (None where its basis takes a moisture not printed), and the `values` that are used, by field."""

    each: tuple[float | None, ...]
    values: Mapping[str, float]


@lru_cache(maxsize=1024)
def normal(lot: Lot) -> Normal:
    """A lot brought to the table's units, once. Raises Refused for a unit of another kind."""
    moisture = lot.analysis("moisture_pct")
    dry_by = moisture.value if moisture else None
    each = {a: on_table_basis(a, in_table_unit(a.field, a.value, a.unit), dry_by) for a in lot.analyses}
    used = {name: all_measured(lot, name)[0] for name in dict.fromkeys(a.field for a in lot.analyses)}
    values = {name: value for name, analysis in used.items() if (value := each[analysis]) is not None}
    return Normal(tuple(each[analysis] for analysis in lot.analyses), values)


def table_value(lot: Lot, analysis: Analysis) -> float | None:
    """An analysis of a lot in the table's unit and basis; None when that takes a moisture not printed."""
    return normal(lot).each[lot.analyses.index(analysis)]


def all_measured(lot: Lot, name: str) -> tuple[Analysis, ...]:
    """Every analysis of one field, the one to be used first: in the table's unit and basis, else as printed first."""
    field = fields()[name]

    def strangeness(analysis: Analysis) -> tuple[bool, bool]:
        return analysis.unit != field.table_unit, analysis.basis not in ("", field.basis)

    return tuple(sorted((a for a in lot.analyses if a.field == name), key=strangeness))


def measured(lot: Lot, name: str) -> Analysis | None:
    """The analysis of a field that is used, or None."""
    return next(iter(all_measured(lot, name)), None)


def number(lot: Lot, name: str) -> float | None:
    """The value of a field that is used, in the table's unit and basis, or None."""
    return normal(lot).values.get(name)


def shown(analysis: Analysis, limits: Sequence[float] = ()) -> str:
    """A value as it was printed, with unit and basis; so that it does not read as a limit it passes."""
    return " ".join(text for text in (told_apart(analysis.value, *limits), analysis.unit, analysis.basis) if text)
