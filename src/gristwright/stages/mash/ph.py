"""The pH of a mash and what it does to the enzymes. See docs/mash_simulation.md; for the water docs/mash.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import MashGrain, MashProgramme

# Middles of the optima named in a spirits dictionary and by Sissons et al. 1995, J. Am. Soc. Brew. Chem. 53:104.
OPTIMUM = {"alpha": 5.7, "beta": 5.5, "limit dextrinase": 5.2}
# The pH of the mashes that the rates were fitted to was not printed; a pale mash is assumed.
FITTED_AT = 5.6
# Per cent of caramel or roasted malt in the grist, from memory: 0.05 to 0.1 for ten.
FALL_PER_PCT_DARK = 0.0075
# A degree of German hardness is 10 mg of CaO a litre, by molar masses so much calcium and calcium carbonate.
CALCIUM_MG_PER_DH, CACO3_MG_PER_DH = 10.0 * 40.078 / 56.077, 10.0 * 100.087 / 56.077
CALCIUM_PART = 3.5  # so much calcium hardness undoes one part of alkalinity


def residual_alkalinity_dH(calcium_mg_per_L: ArrayLike, alkalinity_mg_per_L: ArrayLike) -> FloatArray:
    """Residual alkalinity [degrees of German hardness] of a water; alkalinity as CaCO3; shapes broadcast.

    RA = alkalinity - calcium hardness / 3.5 after Kolbach 1953, Monatsschr. Brau. 6:49, seen in secondary texts (MEBAK
    W-030.01.900 determines it after him); a seventh of the magnesium hardness, which belongs to it, is left out.
    """
    alkalinity = np.asarray(alkalinity_mg_per_L, dtype=float) / CACO3_MG_PER_DH
    return np.asarray(alkalinity - np.asarray(calcium_mg_per_L, dtype=float) / CALCIUM_MG_PER_DH / CALCIUM_PART)


def mash_pH(programme: MashProgramme, grains: Sequence[MashGrain], draws: Draws) -> FloatArray:
    """The measured pH, or a pale mash less what dark malt and backset take and with what its water adds; (members,).

    Water of no residual alkalinity counts as the water of the pale mash; without its calcium and alkalinity the water
    does nothing.
    """
    unmeasured = draws["mash.pH_unmeasured"]
    if programme.mash_pH is not None:
        return np.full_like(unmeasured, programme.mash_pH)
    dark_pct = 100.0 * sum((grain.share for grain in grains if grain.dark), start=np.zeros(1))
    fall = FALL_PER_PCT_DARK * dark_pct + draws["mash.pH_fall_backset"] * programme.backset_pct
    return np.asarray(np.clip(unmeasured - fall + _by_water(programme, draws), 4.0, 7.0))


def _by_water(programme: MashProgramme, draws: Draws) -> FloatArray:
    """Rise of the pH by the part of the liquor that is water; zero when the water is not known."""
    calcium, alkalinity = programme.calcium_mg_per_L, programme.alkalinity_mg_per_L
    if calcium is None or alkalinity is None:
        return np.zeros(1)
    water = 1.0 - programme.backset_pct / 100.0
    residual_dH = residual_alkalinity_dH(calcium, alkalinity)
    return np.asarray(draws["mash.pH_per_residual_alkalinity"] * residual_dH * water)


def effect(enzyme: str, pH: FloatArray, width: FloatArray) -> FloatArray:
    """Activity at a pH over that of the mashes the rates were fitted to: a bell around the optimum; (members,)."""
    best = OPTIMUM[enzyme]
    return np.asarray(np.exp(((FITTED_AT - best) ** 2 - (pH - best) ** 2) / (2.0 * width**2)))
