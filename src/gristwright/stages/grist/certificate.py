"""A lot's certificate: is it possible, does it agree with itself, what may be believed. See docs/grist.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import Draws, FloatArray, Prior, Problem, Refused, Source, Standing
from gristwright.numerics.draws import FULL_SPAN_SD
from gristwright.quantities.extract import PSY_FACTOR
from gristwright.records.lot import Analysis, Lot, Material, TypicalValue
from gristwright.reference import csv_rows
from gristwright.stages.grist.certificate_units import (
    fields,
    in_table_unit,
    measured,
    normal,
    number,
    shown,
    table_value,
)
from gristwright.stages.grist.contaminants import contaminant_problems
from gristwright.stages.grist.cross_checks import asis_extract_pct, disagreements
from gristwright.stages.grist.units_from_power import line_of, reads_units

LOOK_AT = "Check the figure, its unit and its column."
# Each lot takes one column of draws for each of these, in this order, whether the value is used or not.
DRAWN = (
    "moisture_pct",
    "extract_fine_dry_pct",
    "extract_asis_pct",
    "fermentability_pct",
    "diastatic_power",
    "dextrinising_units",
    "starch_dry_pct",
    "extract_07mm_dry_pct",
    "extract_coarse_dry_pct",
    "colour_EBC",
    "fan_mg_per_100g",
    "beta_glucan_mg_per_L",
)
# Read by boards and by the brewer's colour, not by the yield.
FOR_BOARDS = {"colour_EBC", "fan_mg_per_100g", "beta_glucan_mg_per_L"}
# Ways to the extract of the 0.7 mm mash as is, the best first, each with what its mash gives more than the 0.7 mm mash
# (a prior, points of dry extract). A way on dry basis takes the moisture too.
ROUTES = {
    "extract_asis_pct": "",
    "extract_07mm_dry_pct": "",
    "extract_coarse_dry_pct": "grist.coarse_to_07mm_pct",
    "extract_fine_dry_pct": "grist.fine_to_coarse_pct",
}


@dataclass(frozen=True)
class LotBelief:
    """One lot ready for the models: its type, its certificate in the table's units, its priors, which of them count,
    and what had to be assumed. Whoever reads a figure of the certificate from here on reads `values`."""

    lot: Lot
    material: Material
    values: Mapping[
        str, float
    ]  # by field, in the unit and on the basis of the types table; what is not printed is absent
    priors: tuple[Prior, ...]
    used: tuple[str, ...]
    assumed: tuple[str, ...]


def lot_problems(lot: Lot, material: Material) -> list[Problem]:
    """Impossible and unusual values, disagreements inside one certificate, and contaminants above their limits."""
    ranges = range_problems(lot, material)
    # What cannot be is mended first: held against it, the other figures would be blamed.
    crossed = [] if any(not problem.warning for problem in ranges) else disagreements(lot, material)
    return [*ranges, *crossed, *contaminant_problems(lot, material)]


def range_problems(lot: Lot, material: Material) -> list[Problem]:
    """Values that are not possible or not usual for the type; without a usual range only what nothing passes."""
    problems = []
    for analysis in lot.analyses:
        value, typical = table_value(lot, analysis), material.typical.get(analysis.field)
        if value is not None and typical is not None:
            problems += _against_type(analysis, value, typical, material)
        elif value is not None:
            problems += _against_bounds(analysis, value)
    return _exchanged(lot, material, problems)


def _exchanged(lot: Lot, material: Material, problems: list[Problem]) -> list[Problem]:
    """The problems; two impossible figures that would each be usual in the other's place are told to be exchanged."""
    faulty = {problem.where for problem in problems if not problem.warning}
    wrong = [a for a in lot.analyses if a.where in faulty and a.field in material.typical and a.unit == "%"]
    pair = next(
        ((a, b) for a in wrong for b in wrong if a is not b and _usual(material, a.field, b.value)
         and _usual(material, b.field, a.value)), None,
    )  # fmt: skip
    if pair is None:
        return problems
    other = {pair[0].where: pair[1], pair[1].where: pair[0]}
    return [
        replace(p, way_out=f"It is what {_title(other[p.where].field)} usually is: are the two columns exchanged?")
        if p.where in other and not p.warning
        else p
        for p in problems
    ]


def _usual(material: Material, name: str, value: float) -> bool:
    typical = material.typical[name]
    return typical.warn_low <= value <= typical.warn_high


def _against_bounds(analysis: Analysis, value: float) -> list[Problem]:
    field = fields()[analysis.field]
    if field.least <= value <= field.most:
        return []
    what = (
        f"{shown(analysis)} is not possible: {field.title} lies in {field.least:g}-{field.most:g} {field.table_unit}."
    )
    return [Problem(analysis.where, what, LOOK_AT)]


def _against_type(analysis: Analysis, value: float, typical: TypicalValue, material: Material) -> list[Problem]:
    printed = shown(analysis, (typical.least, typical.most, typical.warn_low, typical.warn_high))
    if abs(value - analysis.value) > 1e-9 * abs(value):
        printed += f" ({value:.4g} {typical.unit})"
    if not typical.least <= value <= typical.most:
        limit = f"{typical.least:g}-{typical.most:g} {typical.unit}"
        what = f"{printed} is not possible for {material.title}: {limit}."
        return [Problem(analysis.where, what, _check(analysis, value, typical))]
    if not typical.warn_low <= value <= typical.warn_high:
        limit = f"{typical.warn_low:g}-{typical.warn_high:g} {typical.unit}"
        what = f"{printed} is unusual for {material.title} ({limit})."
        other = "" if analysis.field == "colour_EBC" else _usual_in(analysis, typical)  # colours are asked elsewhere
        asked = f", for as {analysis.value:g} {other} it would be usual" if other else ""
        way_out = f"It is used as it stands; ask the laboratory{asked}."
        return [Problem(analysis.where, what, way_out, warning=True)]
    return []


def _check(analysis: Analysis, value: float, typical: TypicalValue) -> str:
    """What to look at; a fraction in place of a per cent is named."""
    if analysis.unit == "%" and typical.warn_low <= 100.0 * value <= typical.warn_high and value <= 1.0:
        return f"It is written in per cent: {100.0 * value:.4g} for {analysis.value:g}."
    other = _usual_in(analysis, typical)
    return f"As {analysis.value:g} {other} it would be usual: check the unit." if other else LOOK_AT


def _usual_in(analysis: Analysis, typical: TypicalValue) -> str:
    """Another unit of its field in which a figure would be usual; nothing where there is none."""
    for unit in fields()[analysis.field].units:
        try:
            value = in_table_unit(analysis.field, analysis.value, unit)
        except Refused:  # a line of conversion with an offset makes nothing of so little
            continue
        if unit != analysis.unit and typical.warn_low <= value <= typical.warn_high:
            return unit
    return ""


def believe(lot: Lot, material: Material) -> LotBelief:
    """The lot's priors: measured values with the spread between laboratories, the type's range for the rest."""
    values = {name: measured(lot, name) for name in DRAWN}
    values["fermentability_pct"] = values["fermentability_pct"] or _fermentability_from_others(lot)
    route = route_of(lot)
    used = set(DRAWN) - FOR_BOARDS - {"starch_dry_pct"} - (set(ROUTES) - {route})
    if route == "extract_asis_pct":
        used -= {"moisture_pct"}
    if not material.malted:
        # Raw grain is valued by its starch; it brings no enzyme, whatever its certificate leaves out.
        used = (used - {"fermentability_pct", "diastatic_power", "dextrinising_units"}) | {
            "moisture_pct",
            "starch_dry_pct",
        }
    priors = tuple(_prior(lot, material, name, values[name]) for name in DRAWN)
    return LotBelief(
        lot=lot,
        material=material,
        values=normal(lot).values,
        priors=priors,
        used=tuple(column(lot.lot_id, name) for name in DRAWN if name in used),
        assumed=tuple(name for name in DRAWN if name in used and values[name] is None),
    )


def column(lot_id: str, name: str) -> str:
    """The name of a lot's column of draws."""
    return f"lot.{lot_id}.{name}"


def drawn_as(lot: Lot, name: str) -> str:
    """What decides the draws of a lot's column: who made it, its number, crop and type, whatever it is called here.

    A lot without a number goes by its short name, for two such lots of one type are not one lot.
    """
    crop = "" if lot.crop is None else str(lot.crop)
    return "|".join(("lot", lot.supplier, lot.lot_number or lot.lot_id, crop, lot.material, name))


def route_of(lot: Lot) -> str:
    """The extract that is used: the first of the routes that was measured, else the type's extract as is."""
    return next((name for name in ROUTES if measured(lot, name)), "extract_asis_pct")


def _fermentability_from_others(lot: Lot) -> Analysis | None:
    """Fermentability out of fermentable extract or predicted yield, when the extract as is is known beside it."""
    extract, fermentable = asis_extract_pct(lot), number(lot, "fermentable_extract_pct")
    psy, source = number(lot, "psy_lpa_per_t"), measured(lot, "fermentable_extract_pct")
    if fermentable is None and psy is not None:
        fermentable, source = psy / PSY_FACTOR, measured(lot, "psy_lpa_per_t")
    if not extract or fermentable is None or source is None:
        return None
    share = 100.0 * fermentable / extract
    return Analysis("fermentability_pct", share, "%", where=source.where, standing=Standing.DERIVED)


def _prior(lot: Lot, material: Material, name: str, analysis: Analysis | None) -> Prior:
    meaning = f"{_title(name)} of {lot.lot_id} ({material.title})"
    full = column(lot.lot_id, name)
    typical = material.typical.get(name)
    if analysis is not None:
        unit, least, most = _bounds(name, typical)
        value = _value(lot, analysis)
        sd, note = _laboratory_sd(name, value)
        source = Source(f"certificate, {analysis.where}", analysis.standing, note)
        family, arguments = ("normal", (value, sd)) if sd > 0.0 else ("fixed", (value,))
        return Prior(full, meaning, unit, family, arguments, least, most, source, drawn_as(lot, name))
    if typical is None:
        # Not asked of this type, such as starch of a malt: nothing reads it.
        return Prior(full, meaning, "", "fixed", (0.0,), 0.0, 0.0, Source("does not apply", Standing.DERIVED))
    power = number(lot, "diastatic_power") if name == "dextrinising_units" else None
    if power is not None and reads_units(material, power):
        line = line_of(material.species)
        spread = (line.at(power), line.scatter_DU)
        return Prior(
            full, meaning, typical.unit, "normal", spread, typical.least, typical.most, line.source, drawn_as(lot, name)
        )
    sd = (typical.high - typical.low) / FULL_SPAN_SD
    family, arguments = ("normal", (typical.middle, sd)) if sd > 0.0 else ("fixed", (typical.middle,))
    source = Source(f"typical of the type, not on the certificate: {typical.source}", typical.standing)
    least, most = typical.least, typical.most
    return Prior(full, meaning, typical.unit, family, arguments, least, most, source, drawn_as(lot, name))


def _value(lot: Lot, analysis: Analysis) -> float:
    """An analysis in the table's unit; on its own basis where the moisture that a change takes is not printed."""
    value = table_value(lot, analysis) if analysis in lot.analyses else analysis.value
    return in_table_unit(analysis.field, analysis.value, analysis.unit) if value is None else value


def _bounds(name: str, typical: TypicalValue | None) -> tuple[str, float, float]:
    """Unit, least and most of a field: of the type, or of the field where the type says nothing."""
    field = fields()[name]
    if typical is None:
        return field.table_unit, field.least, field.most
    return typical.unit, typical.least, typical.most


def _title(name: str) -> str:
    return fields()[name].title


def _laboratory_sd(name: str, value: float) -> tuple[float, str]:
    row = next(row for row in csv_rows("tables/laboratory_spread.csv") if row["field"] == name)
    sd = float(row["sd"]) * (abs(value) if row["relative"] == "yes" else 1.0)
    return sd, f"spread between laboratories: {row['standing']}, {row['source']}"


def lot_values(belief: LotBelief, draws: Draws) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Extract as is [%], fermentability [%], diastatic power [degLintner], dextrinising units; each (members,)."""
    lot_id, route = belief.lot.lot_id, route_of(belief.lot)
    extract = draws[column(lot_id, route)]
    if route != "extract_asis_pct":
        above = draws[ROUTES[route]] if ROUTES[route] else 0.0
        extract = (extract - above) * (100.0 - draws[column(lot_id, "moisture_pct")]) / 100.0
    names = ("fermentability_pct", "diastatic_power", "dextrinising_units")
    fermentability, power, units = (draws[column(lot_id, name)] for name in names)
    return np.asarray(extract), fermentability, power, units


def starch_asis_pct(belief: LotBelief, draws: Draws) -> FloatArray:
    """Starch as is [%] of a raw grain, (members,)."""
    dry, moisture = (draws[column(belief.lot.lot_id, name)] for name in ("starch_dry_pct", "moisture_pct"))
    return np.asarray(dry * (100.0 - moisture) / 100.0)
