"""Does a certificate agree with itself? Every pair of figures that tells of one thing is held together.

See docs/certificates.md.
"""

from __future__ import annotations

from collections.abc import Iterator

from gristwright.basics import Problem
from gristwright.quantities import colour, diastatic
from gristwright.quantities.extract import PSY_FACTOR
from gristwright.records.lot import Analysis, Lot, Material
from gristwright.stages.grist.certificate_units import (
    all_measured,
    fields,
    measured,
    number,
    shown,
    table_value,
)
from gristwright.stages.grist.unsaid import PROTEIN_POINTS, stated_factors, unsaid

# Relative differences that rounding and the laboratory do not explain.
YIELD_MISMATCH, SAME_BASIS, EXTRACT_MISMATCH, OTHER_MISMATCH = 0.01, 0.004, 0.01, 0.03
POWER_MISMATCH_PCT = 10.0
# Points of extract, points of the Kolbach index.
DIFFERENCE_POINTS, KOLBACH_POINTS = 0.15, 1.2
# Kolbach index over soluble nitrogen ratio of one malt: 1.07-1.11 on a maltster's sheet (name withheld), rounded out.
KOLBACH_PER_SNR = (1.05, 1.13)
# Points by which a fine Congress mash usually exceeds a 0.7 mm mash; the bounds of the prior grist.fine_to_coarse_pct.
FINE_OVER_07MM = (0.2, 3.5)
SMOKE_PARTS = ("phenol_mg_per_kg", "cresols_mg_per_kg", "guaiacol_mg_per_kg", "syringol_mg_per_kg")
DRY_EXTRACTS = ("extract_07mm_dry_pct", "extract_fine_dry_pct", "extract_coarse_dry_pct")


def disagreements(lot: Lot, material: Material) -> list[Problem]:
    """Everything on one certificate that does not fit together, and what has to be asked about it."""
    return [*inconsistencies(lot, material), *_pairs(lot, usual=True), *unsaid(lot, material)]


def inconsistencies(lot: Lot, material: Material) -> list[Problem]:
    """What does not fit together alone."""
    checks = (_convertible, _extracts, _difference, _fermentable, _yield, _protein, _kolbach, _solubles, _smoke)
    problems = [problem for check in checks for problem in check(lot)]
    return [*problems, *_pairs(lot, usual=False), *_same_field(lot), *_colour(lot, material)]


def asis_extract_pct(lot: Lot) -> float | None:
    """Extract of the 0.7 mm mash as is [%]: as printed, or from the dry figure and the moisture."""
    printed, dry, moisture = (number(lot, n) for n in ("extract_asis_pct", "extract_07mm_dry_pct", "moisture_pct"))
    if printed is not None or dry is None or moisture is None:
        return printed
    return dry * (100.0 - moisture) / 100.0


def _warn(analysis: Analysis, what: str, way_out: str) -> Problem:
    return Problem(analysis.where, what, way_out, warning=True)


def _convertible(lot: Lot) -> Iterator[Problem]:
    for analysis in lot.analyses:
        if table_value(lot, analysis) is None:
            basis = fields()[analysis.field].basis
            what = f"{shown(analysis)} is kept on the basis {basis!r}, and that takes a moisture."
            yield Problem(analysis.where, what, "Give the moisture, or the figure on that basis.")


def _extracts(lot: Lot) -> Iterator[Problem]:
    """No mash gives more than the fine one; the printed extract as is fits its own dry figure."""
    fine, moisture = number(lot, "extract_fine_dry_pct"), number(lot, "moisture_pct")
    asis = measured(lot, "extract_asis_pct")
    value = number(lot, "extract_asis_pct")
    if fine is not None and moisture is not None and asis and value is not None:
        most = fine * (100.0 - moisture) / 100.0
        if value > most:
            what = f"{value:.4g} % as is is more than the fine mash allows: {fine:.4g} % dry is {most:.1f} % as is."
            yield Problem(asis.where, what, "One of the two is on another basis; ask the laboratory.")
    for name in ("extract_07mm_dry_pct", "extract_coarse_dry_pct"):
        dry, one = number(lot, name), measured(lot, name)
        if one and dry is not None and fine is not None and dry > fine + DIFFERENCE_POINTS:
            what = f"{dry:.4g} % dry is more than the fine mash gives, {fine:.4g} % dry."
            yield Problem(one.where, what, "One of the two stands in the other's column; ask the laboratory.")
    dry = number(lot, "extract_07mm_dry_pct")
    if asis and value is not None and dry is not None and moisture is not None:
        expected = dry * (100.0 - moisture) / 100.0
        if abs(value - expected) > EXTRACT_MISMATCH * expected:
            what = f"{value:.4g} % as is disagrees with {dry:.4g} % dry at {moisture:g} % moisture: {expected:.1f} %."
            yield _warn(asis, what, "The figure as is is used; ask for the moisture it was taken at.")


def _pairs(lot: Lot, usual: bool) -> Iterator[Problem]:
    """An extract in litre-degrees beside a fine Congress extract: two mashes, not one in two units."""
    fine = measured(lot, "extract_fine_dry_pct")
    coarse = next((a for a in all_measured(lot, "extract_07mm_dry_pct") if a.unit == "L_deg_kg"), None)
    if fine is None or coarse is None:
        return
    same_mash = table_value(lot, coarse) or 0.0
    apart = fine.value - same_mash
    if usual != (FINE_OVER_07MM[0] <= apart <= FINE_OVER_07MM[1]):
        return
    what = (
        f"{coarse.value:g} L_deg_kg is {same_mash:.1f} % of its own mash and stands beside {fine.value:g} % of the "
        f"fine mash: {apart:.1f} points apart, {'as' if usual else 'not as'} two mashes usually are "
        f"({FINE_OVER_07MM[0]:g}-{FINE_OVER_07MM[1]:g})."
    )
    yield _warn(coarse, what, "Both are kept." if usual else "Both are kept; ask for the grind of each.")


def _difference(lot: Lot) -> Iterator[Problem]:
    printed = measured(lot, "fine_coarse_difference_pct")
    fine, coarse = number(lot, "extract_fine_dry_pct"), number(lot, "extract_coarse_dry_pct")
    if printed and fine is not None and coarse is not None:
        apart = fine - coarse
        if abs(printed.value - apart) > DIFFERENCE_POINTS:
            what = f"{printed.value:g} % disagrees with {fine:g} - {coarse:g} = {apart:.2f} %."
            yield _warn(printed, what, "The two extracts are used; ask which of the three was misprinted.")


def _fermentable(lot: Lot) -> Iterator[Problem]:
    printed, value = measured(lot, "fermentable_extract_pct"), number(lot, "fermentable_extract_pct")
    extract, ferment = asis_extract_pct(lot), number(lot, "fermentability_pct")
    if not printed or value is None or extract is None or ferment is None:
        return
    computed = extract * ferment / 100.0
    if computed > 0.0 and abs(value / computed - 1.0) > YIELD_MISMATCH:
        what = f"{value:.4g} % disagrees with {extract:.4g} % x {ferment:g} % = {computed:.1f} %."
        yield _warn(
            printed, f"{what}{_on_dry_basis(lot, value, ferment / 100.0)}", "Extract and fermentability are used."
        )


def _yield(lot: Lot) -> Iterator[Problem]:
    printed, value = measured(lot, "psy_lpa_per_t"), number(lot, "psy_lpa_per_t")
    extract, ferment = asis_extract_pct(lot), number(lot, "fermentability_pct")
    if not printed or value is None or ferment is None:
        return
    if extract is None:
        said = _on_dry_basis(lot, value, PSY_FACTOR * ferment / 100.0)
        if said:
            yield _warn(printed, f"{value:g} L/t is not as is.{said}", "Ask for the yield as is.")
        return
    computed = PSY_FACTOR * extract * ferment / 100.0
    if computed > 0.0 and abs(value / computed - 1.0) > YIELD_MISMATCH:
        what = f"{value:g} L/t disagrees with 6.06 x {extract:.4g} % x {ferment:g} % = {computed:.1f} L/t."
        said = _on_dry_basis(lot, value, PSY_FACTOR * ferment / 100.0)
        way_out = "Extract and fermentability are used; ask on which basis the yield was printed."
        yield _warn(printed, what + said, way_out)


def _on_dry_basis(lot: Lot, value: float, per_pct: float) -> str:
    """The sentence that a figure was made from a dry extract, when one of the certificate's gives it; else nothing."""
    for name in DRY_EXTRACTS:
        dry = number(lot, name)
        if dry and per_pct and abs(value / (per_pct * dry) - 1.0) <= SAME_BASIS:
            return f" It is what {dry:.4g} %, the {fields()[name].title}, gives: it stands on the wrong basis."
    return ""


def _protein(lot: Lot) -> Iterator[Problem]:
    """Protein of a stated factor that is not its nitrogen by it; one without a factor is asked of (unsaid.py)."""
    printed, value = measured(lot, "protein_dry_pct"), number(lot, "protein_dry_pct")
    nitrogen = number(lot, "total_nitrogen_dry_pct")
    stated = stated_factors(printed) if printed else []
    if not printed or value is None or nitrogen is None or not stated:
        return
    if not any(abs(value - f * nitrogen) <= PROTEIN_POINTS for f in stated):
        tried = " and ".join(f"{f:g} x {nitrogen:g} % = {f * nitrogen:.1f} %" for f in stated)
        yield _warn(
            printed, f"{value:.4g} % protein disagrees with the nitrogen: {tried}.", "Ask which of the two is right."
        )


def _kolbach(lot: Lot) -> Iterator[Problem]:
    total, soluble = number(lot, "total_nitrogen_dry_pct"), number(lot, "soluble_nitrogen_dry_pct")
    if not total or soluble is None:
        return
    computed = 100.0 * soluble / total
    printed = [a for name in ("kolbach_pct", "snr_pct") if (a := measured(lot, name))]
    if printed and all(abs(a.value - computed) > KOLBACH_POINTS for a in printed):
        name = fields()[printed[0].field].title
        what = f"{name} {printed[0].value:g} disagrees with {soluble:.3g} / {total:.3g} = {computed:.1f} %."
        yield _warn(printed[0], what, "Ask by which method each was measured.")


def _solubles(lot: Lot) -> Iterator[Problem]:
    kolbach, ratio = number(lot, "kolbach_pct"), measured(lot, "snr_pct")
    if kolbach is None or ratio is None or not ratio.value:
        return
    times = kolbach / ratio.value
    if not KOLBACH_PER_SNR[0] <= times <= KOLBACH_PER_SNR[1]:
        ratios = f"{times:.2f} times the soluble nitrogen ratio {ratio.value:g}"
        what = f"Kolbach index {kolbach:g} is {ratios}; 1.07-1.11 times is usual."
        yield _warn(ratio, what, "Ask whether both were measured.")


def _smoke(lot: Lot) -> Iterator[Problem]:
    """Single phenols that make more than their total: they lie inside it and are never added to it."""
    total, value = measured(lot, "phenols_mg_per_kg"), number(lot, "phenols_mg_per_kg")
    parts = [part for name in SMOKE_PARTS if (part := number(lot, name)) is not None]
    if total and value is not None and sum(parts) > value * (1.0 + OTHER_MISMATCH):
        what = f"{value:.4g} mg/kg of total phenols is less than the single ones on it make, {sum(parts):.4g} mg/kg."
        yield _warn(total, what, "Colour methods miss some of syringol: ask by which method each was measured.")


def _same_field(lot: Lot) -> Iterator[Problem]:
    """One thing printed in several units or on both bases: the others held against the one that is used."""
    for name in dict.fromkeys(analysis.field for analysis in lot.analyses):
        first, *others = all_measured(lot, name)
        value = table_value(lot, first)
        for other in others:
            converted = table_value(lot, other)
            if value and converted and name != "colour_EBC":
                yield from _apart(name, first, value, other, converted)


def _apart(name: str, first: Analysis, value: float, other: Analysis, converted: float) -> Iterator[Problem]:
    # Both ways: which of two printed figures is the converted one is not known.
    apart = max(abs(diastatic.mismatch_pct(value, converted)), abs(diastatic.mismatch_pct(converted, value)))
    most = POWER_MISMATCH_PCT if name == "diastatic_power" else 100.0 * OTHER_MISMATCH
    if name.startswith("extract"):
        most = 100.0 * EXTRACT_MISMATCH
    if apart > most:
        unit = fields()[name].table_unit
        what = f"{shown(other)} is {converted:.4g} {unit} by the usual rule, and {shown(first)} stands beside it."
        yield _warn(other, f"{what} They are {apart:.0f} % apart.", f"{shown(first)} is used; ask for the methods.")


def _colour(lot: Lot, material: Material) -> Iterator[Problem]:
    colours = all_measured(lot, "colour_EBC")
    for analysis in colours:
        value = table_value(lot, analysis) or 0.0
        yield from _exchanged(analysis, value, material)
    for other in colours[1:]:
        first, second = (table_value(lot, a) or 0.0 for a in (colours[0], other))
        ratio = max(first, second) / max(min(first, second), 1e-9)
        if abs(ratio / colour.EBC_PER_SRM - 1.0) < 0.06:
            what = f"{shown(other)} beside {shown(colours[0])} is off by 1.97, the factor between EBC and SRM."
            yield _warn(other, what, "One of the two carries the other's unit; ask the laboratory.")
        elif ratio > 1.0 + POWER_MISMATCH_PCT / 100.0:
            what = f"{shown(other)} is {second:.4g} EBC by the usual rule, and {shown(colours[0])} stands beside it."
            yield _warn(other, what, f"{shown(colours[0])} is used; ask for the methods.")


def _exchanged(analysis: Analysis, value: float, material: Material) -> Iterator[Problem]:
    typical = material.typical.get("colour_EBC")
    if typical is None or typical.warn_low <= value <= typical.warn_high:
        return
    for times, words in ((colour.EBC_PER_SRM, "SRM printed as EBC"), (1.0 / colour.EBC_PER_SRM, "EBC printed as SRM")):
        if typical.low <= value * times <= typical.high:
            what = f"{shown(analysis)} would be usual if it were {words}: {value * times:.3g} EBC."
            yield _warn(analysis, what, "Ask for the unit.")
