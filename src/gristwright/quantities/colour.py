"""Colour of malt and wort: EBC, SRM, degrees Lovibond, IoB. See docs/quantities.md."""

from __future__ import annotations

from gristwright.quantities.bounds import N

# Both are defined on the absorbance at 430 nm in 1 cm: EBC = 25 A, SRM = 12.7 A.
EBC_PER_SRM = 25.0 / 12.7
# Ratio of EBC to IoB colour printed for the same malts runs from 1.1 to 1.25. Standing: derived.
EBC_PER_IOB, EBC_PER_IOB_LOW, EBC_PER_IOB_HIGH = 1.175, 1.1, 1.25


def ebc_from_srm(srm: N) -> N:
    """Colour [EBC] from SRM; both by spectrophotometer, exact by definition."""
    return srm * EBC_PER_SRM


def srm_from_ebc(ebc: N) -> N:
    """Colour [SRM] from EBC; both by spectrophotometer, exact by definition."""
    return ebc / EBC_PER_SRM


def lovibond_from_ebc(ebc: N) -> N:
    """Degrees Lovibond by comparator from colour [EBC]: 0.375 EBC + 0.56. Sheets often print SRM under this name."""
    return 0.375 * ebc + 0.56


def ebc_from_lovibond(lovibond: N) -> N:
    """Colour [EBC] from degrees Lovibond by comparator: the inverse of 0.375 EBC + 0.56."""
    return (lovibond - 0.56) / 0.375


def srm_from_lovibond(lovibond: N) -> N:
    """Colour [SRM] from degrees Lovibond by comparator: 1.3546 L - 0.76 (from memory)."""
    return 1.3546 * lovibond - 0.76


def ebc_from_iob(iob: N) -> N:
    """Colour [EBC] to expect of an IoB colour: times 1.175; printed ratios run from 1.1 to 1.25."""
    return iob * EBC_PER_IOB


def iob_from_ebc(ebc: N) -> N:
    """IoB colour to expect of a colour [EBC]: divided by 1.175; printed ratios run from 1.1 to 1.25."""
    return ebc / EBC_PER_IOB
