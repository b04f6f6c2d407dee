"""The pH of a mash and what it does to the enzymes. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import MashGrain, MashProgramme

RESTS_ON = ("mash.pH_unmeasured", "mash.pH_width", "mash.pH_fall_backset")
# Middles of the optima named in a spirits dictionary and by Sissons et al. 1995, J. Am. Soc. Brew. Chem. 53:104.
OPTIMUM = {"alpha": 5.7, "beta": 5.5, "limit dextrinase": 5.2}
# The pH of the mashes that the rates were fitted to was not printed; a pale mash is assumed.
FITTED_AT = 5.6
# Per cent of caramel or roasted malt in the grist, from memory: 0.05 to 0.1 for ten.
FALL_PER_PCT_DARK = 0.0075


def mash_pH(programme: MashProgramme, grains: Sequence[MashGrain], draws: Draws) -> FloatArray:
    """The measured pH, or a pale mash less what dark malt and backset take; (members,)."""
    unmeasured = draws["mash.pH_unmeasured"]
    if programme.mash_pH is not None:
        return np.full_like(unmeasured, programme.mash_pH)
    dark_pct = 100.0 * sum((grain.share for grain in grains if grain.dark), start=np.zeros(1))
    backset = draws["mash.pH_fall_backset"] * programme.backset_pct
    return np.asarray(np.clip(unmeasured - FALL_PER_PCT_DARK * dark_pct - backset, 4.0, 7.0))


def effect(enzyme: str, pH: FloatArray, width: FloatArray) -> FloatArray:
    """Activity at a pH over that of the mashes the rates were fitted to: a bell around the optimum; (members,)."""
    best = OPTIMUM[enzyme]
    return np.asarray(np.exp(((FITTED_AT - best) ** 2 - (pH - best) ** 2) / (2.0 * width**2)))
