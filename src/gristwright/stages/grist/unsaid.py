"""What a figure of a certificate does not say of itself and must: its factor, method, basis or age.

See docs/certificates.md.
"""

from __future__ import annotations

from collections.abc import Iterator

from gristwright.basics import Problem
from gristwright.quantities import colour
from gristwright.records.lot import Analysis, Lot, Material
from gristwright.reference.grains import mashed, protein_factors
from gristwright.stages.grist.certificate_units import AS_HCN, all_measured, measured, number, shown, table_value

# Per cent of protein that rounding explains.
PROTEIN_POINTS = 0.1
# From here on the rules of SRM and of Lovibond part.
DARK_EBC = 100.0
PHENOL_METHODS = ("hplc", "color", "colour", "kolor", "photometr", "uv", "gc", "4-aap", "aminoantipyr")
HEADINGS = "write the heading as: protein (N x 6.25) [%] or protein (N x 5.7) [%]"


def unsaid(lot: Lot, material: Material) -> list[Problem]:
    """What has to be asked; all but a factor of protein that nothing tells are remarks."""
    return [*_factor(lot, material), *_dark(lot), *_nitrile(lot), *_phenols(lot)]


def stated_factors(protein: Analysis) -> list[float]:
    """The factors, times nitrogen, that a figure of protein says it is of."""
    return [factor for factor in protein_factors() if f"{factor:g}" in protein.method.replace(",", ".")]


def _factor(lot: Lot, material: Material) -> Iterator[Problem]:
    """Protein that says no factor: asked where its nitrogen tells none, or one that is not usual of the grain."""
    printed, value = measured(lot, "protein_dry_pct"), number(lot, "protein_dry_pct")
    nitrogen = number(lot, "total_nitrogen_dry_pct")
    if not printed or value is None or stated_factors(printed):
        return
    if not nitrogen:
        what = f"{value:.4g} % protein does not say its factor, 6.25 or 5.7 times nitrogen."
        yield Problem(printed.where, what, f"Ask for it and {HEADINGS}.", warning=True)
        return
    fitting = [f for f in protein_factors() if abs(value - f * nitrogen) <= PROTEIN_POINTS]
    usual = mashed(material.species).protein_factors[0]
    if not fitting:
        tried = " nor ".join(f"{f:g} x {nitrogen:g} % = {f * nitrogen:.1f} %" for f in protein_factors())
        what = f"{value:.4g} % protein does not say its factor and is neither {tried}."
        yield Problem(printed.where, what, f"Ask for the factor and {HEADINGS}.")
    elif usual not in fitting:
        what = (
            f"{value:.4g} % protein does not say its factor: it is {fitting[0]:g} x {nitrogen:g} %, and {usual:g} is "
        )
        what += f"usual of {material.title}."
        yield Problem(printed.where, what, f"Ask whether that is meant and {HEADINGS}.")


def _dark(lot: Lot) -> Iterator[Problem]:
    for analysis in all_measured(lot, "colour_EBC"):
        if analysis.unit in ("degLovibond", "SRM") and (table_value(lot, analysis) or 0.0) > DARK_EBC:
            yield _of_dark(analysis)


def _of_dark(analysis: Analysis) -> Problem:
    comparator = float(colour.ebc_from_lovibond(analysis.value))
    photometer = float(colour.ebc_from_srm(analysis.value))
    what = (
        f"{analysis.value:g} is {comparator:.0f} EBC as Lovibond by comparator and {photometer:.0f} EBC as SRM; "
        "dark malts are printed under either name."
    )
    return Problem(analysis.where, what, f"It is read as {analysis.unit}; ask for the method.", warning=True)


def _nitrile(lot: Lot) -> Iterator[Problem]:
    nitrile = measured(lot, "glycosidic_nitrile_g_per_t")
    if nitrile and nitrile.value > 0.0 and not nitrile.basis:
        what = f"{shown(nitrile)} does not say whether it counts the glycoside or hydrogen cyanide (9.7 times as much)."
        way_out = f"It is read as the glycoside; ask, and write (as glycoside) or ({AS_HCN}) in the heading."
        yield Problem(nitrile.where, what, way_out, warning=True)


def _phenols(lot: Lot) -> Iterator[Problem]:
    phenols = measured(lot, "phenols_mg_per_kg")
    if phenols and phenols.value > 0.0 and (missing := list(_unsaid_of_phenols(lot, phenols))):
        what = f"{shown(phenols)} does not say {'; nor '.join(why for why, _ in missing)}."
        way_out = f"Ask, and write {', '.join(how for _, how in missing)}."
        yield Problem(phenols.where, what, way_out, warning=True)


def _unsaid_of_phenols(lot: Lot, phenols: Analysis) -> Iterator[tuple[str, str]]:
    """What the figure must say to be compared, and how it is written."""
    if not any(word in phenols.method.lower() for word in PHENOL_METHODS):
        yield "its method, and HPLC reads otherwise than the colorimetric one", "(HPLC) or (colorimetric)"
    if not phenols.basis:
        yield "its basis, and is read as supplied", "as is or dry in the heading"
    if measured(lot, "months_in_store") is None:
        yield "how old the malt will be at mashing, and phenols fall in store", "months in store as a field of the lot"
