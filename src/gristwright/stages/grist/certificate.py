"""A lot's certificate: is it possible, does it agree with itself, what may be believed. See docs/grist.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray, Prior, Problem, Source, Standing
from gristwright.quantities import diastatic
from gristwright.quantities.extract import PSY_FACTOR
from gristwright.records.lot import Analysis, Lot, Material, TypicalValue
from gristwright.reference import csv_rows

# Each lot takes one column of draws for each of these, in this order, whether the value is used or not.
DRAWN = (
    "moisture_pct",
    "extract_fine_dry_pct",
    "extract_asis_pct",
    "fermentability_pct",
    "diastatic_power",
    "dextrinising_units",
    "starch_dry_pct",
)
PSY_MISMATCH = 0.01
FULL_SPAN_SD = 3.29  # 5 to 95 % of a normal distribution in standard deviations


@dataclass(frozen=True)
class LotBelief:
    """One lot ready for the models: its type, its priors, which of them count, and what had to be assumed."""

    lot: Lot
    material: Material
    priors: tuple[Prior, ...]
    used: tuple[str, ...]
    assumed: tuple[str, ...]


def value_in_table_unit(analysis: Analysis) -> float:
    """The certificate's value in the unit of the types table; only diastatic power comes in several."""
    if analysis.field == "diastatic_power":
        return float(diastatic.convert(analysis.value, analysis.unit, "degLintner").value)
    return analysis.value


def lot_problems(lot: Lot, material: Material) -> list[Problem]:
    """Impossible and unusual values and disagreements inside one certificate."""
    problems = []
    for analysis in lot.analyses:
        typical = material.typical.get(analysis.field)
        if typical is not None:
            problems += _against_type(analysis, typical, material)
    return problems + _extract_problems(lot) + _psy_problems(lot)


def _against_type(analysis: Analysis, typical: TypicalValue, material: Material) -> list[Problem]:
    value = value_in_table_unit(analysis)
    shown = f"{analysis.value:g} {analysis.unit}"
    if analysis.unit != typical.unit and analysis.field == "diastatic_power":
        shown += f" ({value:.0f} {typical.unit})"
    if not typical.least <= value <= typical.most:
        limit = f"{typical.least:g}-{typical.most:g} {typical.unit}"
        what = f"{shown} is not possible for {material.title}: {limit}."
        return [Problem(analysis.where, what, "Check the figure, its unit and its column.")]
    if not typical.warn_low <= value <= typical.warn_high:
        limit = f"{typical.warn_low:g}-{typical.warn_high:g} {typical.unit}"
        what = f"{shown} is unusual for {material.title} ({limit})."
        return [Problem(analysis.where, what, "It is used as it stands; ask the laboratory.", warning=True)]
    return []


def _extract_problems(lot: Lot) -> list[Problem]:
    fine, coarse, moisture = (
        lot.analysis(name) for name in ("extract_fine_dry_pct", "extract_asis_pct", "moisture_pct")
    )
    if fine is None or coarse is None or moisture is None:
        return []
    most = fine.value * (100.0 - moisture.value) / 100.0
    if coarse.value <= most:
        return []
    what = f"{coarse.value:g} % as is is more than the fine mash allows: {fine.value:g} % dry is {most:.1f} % as is."
    return [Problem(coarse.where, what, "One of the two is on another basis; ask the laboratory.")]


def _psy_problems(lot: Lot) -> list[Problem]:
    psy, extract, ferment = (lot.analysis(name) for name in ("psy_lpa_per_t", "extract_asis_pct", "fermentability_pct"))
    if psy is None or extract is None or ferment is None:
        return []
    computed = PSY_FACTOR * extract.value * ferment.value / 100.0
    if abs(psy.value / computed - 1.0) <= PSY_MISMATCH:
        return []
    what = f"{psy.value:g} L/t disagrees with 6.06 x {extract.value:g} % x {ferment.value:g} % = {computed:.1f} L/t."
    way_out = "Extract and fermentability are used; ask on which basis the yield was printed."
    return [Problem(psy.where, what, way_out, warning=True)]


def believe(lot: Lot, material: Material) -> LotBelief:
    """The lot's priors: measured values with the spread between laboratories, the type's range for the rest."""
    values = {name: lot.analysis(name) for name in DRAWN}
    values["fermentability_pct"] = values["fermentability_pct"] or _fermentability_from_others(lot)
    used = set(DRAWN) - {"starch_dry_pct"}
    if values["extract_asis_pct"] is not None or values["extract_fine_dry_pct"] is None:
        used -= {"moisture_pct", "extract_fine_dry_pct"}
    else:
        used -= {"extract_asis_pct"}
    if not material.malted:
        used = (used - {"fermentability_pct"}) | {"moisture_pct", "starch_dry_pct"}
    priors = tuple(_prior(lot, material, name, values[name]) for name in DRAWN)
    return LotBelief(
        lot=lot,
        material=material,
        priors=priors,
        used=tuple(column(lot.lot_id, name) for name in DRAWN if name in used),
        assumed=tuple(name for name in DRAWN if name in used and values[name] is None),
    )


def column(lot_id: str, name: str) -> str:
    """The name of a lot's column of draws."""
    return f"lot.{lot_id}.{name}"


def _fermentability_from_others(lot: Lot) -> Analysis | None:
    """Fermentability out of fermentable extract or predicted yield, when the extract as is stands beside it."""
    extract = lot.analysis("extract_asis_pct")
    fermentable, psy = lot.analysis("fermentable_extract_pct"), lot.analysis("psy_lpa_per_t")
    if extract is None or (fermentable is None and psy is None):
        return None
    part = fermentable.value if fermentable is not None else psy.value / PSY_FACTOR  # type: ignore[union-attr]
    where = (fermentable or psy).where  # type: ignore[union-attr]
    return Analysis("fermentability_pct", 100.0 * part / extract.value, "%", where=where, standing=Standing.DERIVED)


def _prior(lot: Lot, material: Material, name: str, analysis: Analysis | None) -> Prior:
    meaning = f"{_title(name)} of {lot.lot_id} ({material.title})"
    full = column(lot.lot_id, name)
    typical = material.typical.get(name)
    if typical is None:
        # Not asked of this type, such as starch of a malt: nothing reads it, but its column must keep its place.
        return Prior(full, meaning, "", "fixed", (0.0,), 0.0, 0.0, Source("does not apply", Standing.DERIVED))
    if analysis is None:
        sd = (typical.high - typical.low) / FULL_SPAN_SD
        family, arguments = ("normal", (typical.middle, sd)) if sd > 0.0 else ("fixed", (typical.middle,))
        source = Source(f"typical of the type, not on the certificate: {typical.source}", typical.standing)
        return Prior(full, meaning, typical.unit, family, arguments, typical.least, typical.most, source)
    value = value_in_table_unit(analysis)
    sd, note = _laboratory_sd(name, value)
    source = Source(f"certificate, {analysis.where}", analysis.standing, note)
    if sd == 0.0:
        return Prior(full, meaning, typical.unit, "fixed", (value,), typical.least, typical.most, source)
    return Prior(full, meaning, typical.unit, "normal", (value, sd), typical.least, typical.most, source)


def _title(name: str) -> str:
    return next(row["title"] for row in csv_rows("tables/certificate_fields.csv") if row["field"] == name)


def _laboratory_sd(name: str, value: float) -> tuple[float, str]:
    row = next(row for row in csv_rows("tables/laboratory_spread.csv") if row["field"] == name)
    sd = float(row["sd"]) * (abs(value) if row["relative"] == "yes" else 1.0)
    return sd, f"spread between laboratories: {row['standing']}, {row['source']}"


def lot_values(belief: LotBelief, draws: Draws) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Extract as is [%], fermentability [%], diastatic power [degLintner], dextrinising units; each (members,)."""
    values = [draws[column(belief.lot.lot_id, name)] for name in DRAWN]
    moisture, fine, coarse, fermentability, power, units, _ = values
    if column(belief.lot.lot_id, "extract_asis_pct") not in belief.used:
        coarse = (fine - draws["grist.fine_to_coarse_pct"]) * (100.0 - moisture) / 100.0
    return np.asarray(coarse), fermentability, power, units


def starch_asis_pct(belief: LotBelief, draws: Draws) -> FloatArray:
    """Starch as is [%] of a raw grain, (members,)."""
    dry, moisture = (draws[column(belief.lot.lot_id, name)] for name in ("starch_dry_pct", "moisture_pct"))
    return np.asarray(dry * (100.0 - moisture) / 100.0)
