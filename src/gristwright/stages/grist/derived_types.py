"""What a type shows that follows from its other fields, computed and not stored. See docs/types.md.

Data: reference/tables/types_derived.csv.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeAlias

from gristwright.basics import Standing
from gristwright.quantities.extract import PSY_FACTOR, dry_pct
from gristwright.records.lot import TypicalValue
from gristwright.reference import csv_rows
from gristwright.reference.grains import mashed, source_of
from gristwright.stages.grist.certificate_units import fields

ENDS = ("least", "warn_low", "low", "middle", "high", "warn_high", "most")
OTHER_END = dict(zip(ENDS, reversed(ENDS), strict=True))
FIGURES = 3
UNDER = ("least", "warn_low")
Typical: TypeAlias = Mapping[str, TypicalValue]


def _dry(of: Typical, end: str, factors: tuple[float, ...]) -> float:
    return float(dry_pct(getattr(of["extract_asis_pct"], end), of["moisture_pct"].middle))


def _coarse(of: Typical, end: str, factors: tuple[float, ...]) -> float:
    fine, apart = getattr(of["extract_fine_dry_pct"], end), getattr(of["fine_coarse_difference_pct"], OTHER_END[end])
    return float(fine - apart)


def _soluble(of: Typical, end: str, factors: tuple[float, ...]) -> float:
    return float(getattr(of["total_nitrogen_dry_pct"], end) * getattr(of["snr_pct"], end) / 100.0)


def _protein(of: Typical, end: str, factors: tuple[float, ...]) -> float:
    # Printed with the smaller factor a figure is no fault: the limits below reach down to it.
    return float(getattr(of["total_nitrogen_dry_pct"], end) * (min(factors) if end in UNDER else factors[0]))


def _fermentable(of: Typical, end: str, factors: tuple[float, ...]) -> float:
    return float(getattr(of["extract_asis_pct"], end) * getattr(of["fermentability_pct"], end) / 100.0)


def _spirit(of: Typical, end: str, factors: tuple[float, ...]) -> float:
    return float(PSY_FACTOR * getattr(of["fermentable_extract_pct"], end))


# Field -> the fields it follows from, and how.
RULES: dict[str, tuple[tuple[str, ...], Callable[[Typical, str, tuple[float, ...]], float]]] = {
    "extract_07mm_dry_pct": (("extract_asis_pct", "moisture_pct"), _dry),
    "extract_coarse_dry_pct": (("extract_fine_dry_pct", "fine_coarse_difference_pct"), _coarse),
    "soluble_nitrogen_dry_pct": (("total_nitrogen_dry_pct", "snr_pct"), _soluble),
    "protein_dry_pct": (("total_nitrogen_dry_pct",), _protein),
    "fermentable_extract_pct": (("extract_asis_pct", "fermentability_pct"), _fermentable),
    "psy_lpa_per_t": (("fermentable_extract_pct",), _spirit),
}


def with_derived(typical: Typical, species: str) -> dict[str, TypicalValue]:
    """The fields of a type with those that follow from them, in the order of a certificate."""
    typicals = dict(typical)
    for row in csv_rows("tables/types_derived.csv"):
        parts, _ = RULES[row["field"]]
        if row["field"] not in typicals and set(parts) <= set(typicals):
            typicals[row["field"]] = _derived(row, typicals, species)
    shown = {name: _in_figures(value) if name not in typical else value for name, value in typicals.items()}
    return {name: shown[name] for name in fields() if name in shown}


def _derived(row: dict[str, str], of: Typical, species: str) -> TypicalValue:
    field, (_, rule) = fields()[row["field"]], RULES[row["field"]]
    factors = mashed(species).protein_factors
    values = {end: min(max(rule(of, end, factors), field.least), field.most) for end in ENDS}
    values |= {end: float(row[end]) for end in ("least", "most") if row[end]}
    source = source_of(species, "protein_factors").text if row["field"] == "protein_dry_pct" else row["source"]
    return TypicalValue(unit=field.table_unit, standing=Standing(row["standing"]), source=source, **values)


def _in_figures(value: TypicalValue) -> TypicalValue:
    """Rounded as a certificate prints it, when everything is computed: nothing rests on a rounded figure."""
    figures: dict[str, Any] = {end: float(f"{getattr(value, end):.{FIGURES}g}") for end in ENDS}
    return replace(value, **figures)
