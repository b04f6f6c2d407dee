"""A value in another unit of the same kind, with method, source and spread. See docs/quantities.md.

Every kind has one pivot unit: a value goes to the pivot and from there to the unit wanted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Problem, Refused, Standing
from gristwright.quantities import alcoholometry, colour, diastatic, extract, gravity, proof
from gristwright.quantities.bounds import refuse_outside
from gristwright.quantities.units import UnitName, find_unit, parse_number, parse_quantity, unit_names

UK_GALLON_L = 4.54609
SIGNED_KINDS = frozenset({"temperature", "gravity"})


@dataclass(frozen=True)
class Step:
    """How one unit reaches its kind's pivot and comes back, and what that rests on."""

    to_pivot: Callable[[float], float]
    from_pivot: Callable[[float], float]
    method: str = ""
    source: str = ""
    standing: Standing | None = None
    spread: float = 0.0


@dataclass(frozen=True)
class Conversion:
    """A converted value; low and high differ from it where the methods spread, an exact definition has no standing."""

    value: float
    low: float
    high: float
    unit: UnitName
    method: str
    source: str
    standing: Standing | None
    note: str = ""


def _same(value: float) -> float:
    return value


def _times(factor: float, method: str = "", source: str = "") -> Step:
    return Step(lambda x: x * factor, lambda x: x / factor, method, source)


def _uk_proof_gallon_lpa() -> float:
    """LPA at 20 degC in one historic UK proof gallon [L]."""
    swelling = proof.lpa_per_proof_gallon() / (0.5 * proof.US_GALLON_L)
    return UK_GALLON_L * proof.uk_proof_spirit()[1] / 100.0 * swelling


R22 = "OIML R 22 (1975), seen in a secondary text"
_PIVOT = Step(_same, _same)
STEPS: dict[str, Step] = {
    "EBC": _PIVOT,
    "SRM": Step(colour.ebc_from_srm, colour.srm_from_ebc, "EBC = 25/12.7 SRM", "definitions on A430 (ASBC, EBC)"),
    "degLovibond": Step(
        colour.ebc_from_lovibond,
        colour.lovibond_from_ebc,
        "degLovibond = 0.375 EBC + 0.56 (comparator)",
        "rule of the trade printed by maltsters",
        Standing.COMMON_PRACTICE,
    ),
    "IoB_colour": Step(
        colour.ebc_from_iob,
        colour.iob_from_ebc,
        "EBC = 1.175 IoB (printed ratios 1.1 to 1.25)",
        "maltsters' specifications printing both",
        Standing.DERIVED,
        colour.EBC_PER_IOB_HIGH / colour.EBC_PER_IOB - 1.0,
    ),
    "extract_pct": _PIVOT,
    "L_deg_kg": Step(
        extract.extract_pct_from_l_deg_kg,
        extract.l_deg_kg_from_extract_pct,
        "percent of the same mash = L deg/kg / 3.86",
        "density of sucrose solutions",
        Standing.FROM_MEMORY,
    ),
    "SG": _PIVOT,
    "degP": Step(
        gravity.sg_from_degP,
        gravity.degP_from_sg,
        "ASBC cubic between SG and degP",
        "ASBC Methods of Analysis, seen in a secondary text",
        Standing.PUBLISHED,
    ),
    "excise_degrees": _times(0.001, "excise degrees = 1000 SG"),
    "mass_pct": _PIVOT,
    "abv_pct": Step(
        lambda abv: 100.0 * alcoholometry.mass_fraction_from_abv(abv),
        lambda mass: alcoholometry.abv_pct_from_mass_fraction(mass / 100.0),
        "%vol = p rho(p) / rho(1) at 20 degC",
        R22,
        Standing.PUBLISHED,
    ),
    "us_proof": Step(
        lambda x: 100.0 * alcoholometry.mass_fraction_from_abv(proof.abv_pct_from_us_proof(x)),
        lambda mass: proof.us_proof(alcoholometry.abv_pct_from_mass_fraction(mass / 100.0)),
        "US proof = 2 x %vol at 60 degF",
        f"27 CFR 30.11; {R22}",
        Standing.PUBLISHED,
    ),
    "uk_proof": Step(
        lambda x: 100.0 * alcoholometry.mass_fraction_from_abv(proof.abv_pct_from_uk_proof(x)),
        lambda mass: proof.uk_proof(alcoholometry.abv_pct_from_mass_fraction(mass / 100.0)),
        "proof spirit weighs at 51 degF 12/13 of water",
        f"Customs and Excise Act 1952; {R22}",
        Standing.PUBLISHED,
    ),
    "degC": _PIVOT,
    "degF": Step(lambda f: (f - 32.0) / 1.8, lambda c: 1.8 * c + 32.0, "degF = 1.8 degC + 32"),
    "K": Step(lambda k: k - 273.15, lambda c: c + 273.15, "K = degC + 273.15"),
    "litre": _PIVOT,
    "hL": _times(100.0),
    "m3": _times(1000.0),
    "us_gal": _times(proof.US_GALLON_L, "1 US gal = 3.785411784 L"),
    "uk_gal": _times(UK_GALLON_L, "1 imperial gal = 4.54609 L"),
    "kg": _PIVOT,
    "g": _times(0.001),
    "t": _times(1000.0),
    "lb": _times(proof.POUND_kg, "1 lb = 0.45359237 kg"),
    "LPA": _PIVOT,
    "us_proof_gal": Step(
        proof.lpa_from_proof_gallons,
        proof.proof_gallons_from_lpa,
        "1 US proof gallon = 1.9018 LPA at 20 degC (1.8927 L at 60 degF)",
        f"27 CFR 30.11; {R22}",
        Standing.PUBLISHED,
    ),
    "uk_proof_gal": Step(
        lambda x: x * _uk_proof_gallon_lpa(),
        lambda x: x / _uk_proof_gallon_lpa(),
        "proof spirit weighs at 51 degF 12/13 of water; imperial gallon at 60 degF",
        f"Customs and Excise Act 1952; {R22}",
        Standing.PUBLISHED,
    ),
    "nitrogen_pct": _PIVOT,
    "protein_pct": Step(
        extract.nitrogen_pct, extract.protein_pct, "protein = 6.25 N", "convention", Standing.COMMON_PRACTICE
    ),
}
NOTES = {
    "degLovibond": "Sheets often print SRM under this name: ask the method above 500 SRM.",
    "L_deg_kg": "Holds for one and the same mash; coarse IoB and fine Congress extracts differ.",
    "uk_proof": "No longer in legal use.",
    "uk_proof_gal": "No longer in legal use.",
}


def convertible(kind: str) -> tuple[str, ...]:
    """Names of the units of a kind; each converts into every other."""
    return tuple(unit.name for unit in unit_names() if unit.kind == kind)


def kinds() -> tuple[str, ...]:
    """Every kind of quantity, in the order of the table."""
    return tuple(dict.fromkeys(unit.kind for unit in unit_names()))


def convert(value: float, unit: str | UnitName, to: str | UnitName) -> Conversion:
    """A value in another unit of the same kind.

    Raises Refused when a unit is unknown or ambiguous, the kinds differ, or the value lies outside the method's range.
    """
    source_unit = unit if isinstance(unit, UnitName) else find_unit(unit)
    target = to if isinstance(to, UnitName) else find_unit(to)
    if source_unit.kind != target.kind:
        raise Refused([_kinds_differ(source_unit, target)])
    if source_unit.kind not in SIGNED_KINDS:
        refuse_outside(source_unit.kind, value, 0.0, np.inf, source_unit.name, "Give zero or more.")
    if source_unit.kind == "diastatic power":
        return _diastatic(value, source_unit, target)
    return _through_pivot(value, source_unit, target)


def in_unit(text: str, unit: str) -> float:
    """A typed value in a unit: a number alone is in it already, one with another unit of the kind is converted.

    Raises Refused when it cannot be read, measures something else, or lies outside the method's range.
    """
    wanted = find_unit(unit)
    try:
        return parse_number(text)
    except Refused:
        if not (any(map(str.isdigit, text)) and any(letter.isalpha() or letter in "°%" for letter in text)):
            raise
    given = parse_quantity(text, wanted.kind)
    return given.value if given.unit == wanted else convert(given.value, given.unit, wanted).value


def _kinds_differ(unit: UnitName, to: UnitName) -> Problem:
    what = f"{unit.name} measures {unit.kind} and {to.name} measures {to.kind}."
    others = ", ".join(name for name in convertible(unit.kind) if name != unit.name)
    return Problem("unit", what, f"{unit.name} converts into {others}.")


def _through_pivot(value: float, unit: UnitName, to: UnitName) -> Conversion:
    if unit == to:
        return Conversion(value, value, value, to, "as given", "", None)
    there, back = STEPS[unit.name], STEPS[to.name]
    result = float(back.from_pivot(there.to_pivot(value)))
    if result < 0.0 and to.kind not in SIGNED_KINDS:
        what = f"{value:.6g} {unit.name} would be less than nothing in {to.name}: the line between them has an offset."
        raise Refused([Problem(to.kind, what, f"Keep such a value in {unit.name}.")])
    spread = max(there.spread, back.spread)
    standings = [step.standing for step in (there, back) if step.standing is not None]
    return Conversion(
        result,
        result * (1.0 - spread),
        result * (1.0 + spread),
        to,
        _joined(there.method, back.method) or "exact",
        _joined(there.source, back.source) or "definition",
        max(standings, key=list(Standing).index) if standings else None,
        _joined(NOTES.get(unit.name, ""), NOTES.get(to.name, "")),
    )


def _joined(*texts: str) -> str:
    return "; ".join(dict.fromkeys(part for text in texts for part in text.split("; ") if part))


def _diastatic(value: float, unit: UnitName, to: UnitName) -> Conversion:
    if unit == to:
        return Conversion(value, value, value, to, "as given", "", None)
    power = diastatic.convert(value, unit.name, to.name)
    source = "malt trade rules; spread from specifications printing two units side by side"
    standing = Standing.COMMON_PRACTICE if power.method in list(diastatic.DegreeLine) else Standing.DERIVED
    note = ""
    if power.other_method != power.method:
        note = f"The other line in use, {power.other_method}, gives {power.other_line:.4g} {to.name}."
    return Conversion(power.value, power.low, power.high, to, power.method, source, standing, note)
