"""Dextrinising units of a malt whose certificate states diastatic power alone. See docs/grist.md.

A type's middle would give a malt of 210 degLintner the units of one of 70: what is printed says more than the type.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from gristwright.basics import Source, Standing
from gristwright.records.lot import Material
from gristwright.reference import csv_rows


@dataclass(frozen=True)
class UnitsLine:
    """A line of units over power, its scatter, and from where to where it was seen."""

    intercept_DU: float
    slope_DU_per_degLintner: float
    scatter_DU: float
    from_degLintner: float
    to_degLintner: float
    source: Source

    def at(self, power_degLintner: float) -> float:
        """Units at a diastatic power [degLintner], held where the line ends."""
        seen = min(max(power_degLintner, self.from_degLintner), self.to_degLintner)
        return self.intercept_DU + self.slope_DU_per_degLintner * seen


@cache
def line_of(species: str) -> UnitsLine:
    """The line for malt of a cereal; that of any other where it has none of its own."""
    rows = {row["species"]: row for row in csv_rows("tables/units_from_power.csv")}
    row = rows.get(species, rows["*"])
    numbers = {name: float(row[name]) for name in _NUMBERS}
    return UnitsLine(**numbers, source=Source(f"from its diastatic power: {row['source']}", Standing(row["standing"])))


_NUMBERS = ("intercept_DU", "slope_DU_per_degLintner", "scatter_DU", "from_degLintner", "to_degLintner")


def reads_units(material: Material, power_degLintner: float | None) -> bool:
    """Whether units may be read from power: of a malt that heat has left enzymes, and whose power is printed."""
    return material.malted and not material.dark and power_degLintner is not None and power_degLintner > 0.0


def expected_DU(species: str, power_degLintner: float) -> float:
    """Dextrinising units that a malt of that cereal and power is expected to have."""
    return line_of(species).at(power_degLintner)
