"""How much of a grain's starch opens at a temperature, and how fast. See docs/mash_simulation.md.

The shape is that of Potter & Coulter: a first-order rate towards a final extent that is a cumulative normal function of
temperature. Their parameters were not to be had: the rate is that of Brandam et al. 2003 above 60 degC, the extent is
centred and as wide as reference/tables/grains.csv says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import MashGrain, MashProgramme
from gristwright.reference import grains as known
from gristwright.stages.mash.brandam2003 import ZERO_DEGC_K, GAS_kJ_per_mol_K, constants

# Heat and water do not reach the middle of a particle faster than this [1/s]; our estimate. It only acts in a cooker.
FASTEST_PER_S = 0.05
LOGISTIC_PER_NORMAL = 1.702


@dataclass(frozen=True)
class GristOpening:
    """Where the grains of one grist open: arrays (grains, members), `table` the cook of each grain."""

    centre_degC: FloatArray
    width_K: FloatArray  # (grains, 1)
    shift_K: FloatArray  # (members,) per g extract/100 g
    thin_g_per_100g: FloatArray  # (members,) wort of the mashes in which the centres were found
    cook_effect: FloatArray  # (members,)
    cooks: tuple[tuple[FloatArray, FloatArray] | None, ...]

    def shifted_degC(self, mash_degC: FloatArray, wort_g_per_100g: FloatArray) -> FloatArray:
        """The temperature as the starch feels it in strong wort; De Schepper & Courtin 2022. (members,)."""
        return np.asarray(mash_degC - self.shift_K * np.maximum(wort_g_per_100g - self.thin_g_per_100g, 0.0))

    def extent(self, felt_degC: FloatArray) -> FloatArray:
        """Share of the granules that can open at all (grains, members); a logistic in place of the normal."""
        z = (self.centre_degC - felt_degC) * (LOGISTIC_PER_NORMAL / self.width_K)
        return np.asarray(1.0 / (1.0 + np.exp(z)))

    def per_s(self, felt_degC: FloatArray) -> FloatArray:
        """First-order rate [1/s] towards that extent (grains, members)."""
        c = constants()
        kelvin = felt_degC - self.centre_degC + (usual_malt_degC() + ZERO_DEGC_K)
        return np.asarray(np.minimum(c["kg2"] * np.exp(-c["Eg2"] / (GAS_kJ_per_mol_K * kelvin)), FASTEST_PER_S))

    def openable(self, hottest_degC: Sequence[float]) -> FloatArray:
        """Share of the starch that the hottest temperature each grain meets leaves for the mash (grains, members)."""
        shares = [np.ones_like(self.cook_effect)] * len(self.cooks)
        for number, (cook, degC) in enumerate(zip(self.cooks, hottest_degC, strict=True)):
            if cook is not None:
                unopened = 1.0 - np.interp(degC, *cook)
                shares[number] = np.clip(1.0 - unopened * self.cook_effect, 0.0, 1.0)
        return np.array(shares)


def opening(grains: Sequence[MashGrain], draws: Draws) -> GristOpening:
    """The opening of every grain of a grist. Raises Refused for one that the table of grains does not hold so."""
    rows = [known.opening(grain.species, grain.malted, f"grist, {grain.key}") for grain in grains]
    place = draws["mash.gelatinisation_place"]
    low, high, width = (np.array([[getattr(row, name)] for row in rows]) for name in _COLUMNS)
    return GristOpening(
        centre_degC=low + place * (high - low),
        width_K=width,
        shift_K=draws["mash.gelatinisation_shift"],
        thin_g_per_100g=draws["mash.thin_wort_g_per_100g"],
        cook_effect=draws["mash.cook_effect"],
        cooks=tuple(None if grain.malted else _cook(grain.species) for grain in grains),
    )


def hottest_degC(programme: MashProgramme, key: str) -> float:
    """The hottest that a grain meets once the first of it is in."""
    put_in = min(charge.at_min for charge in programme.charges if key in dict(charge.grains))
    later = [corner.settled_degC for corner in programme.corners if corner.at_min >= put_in]
    minutes, degrees = zip(*((corner.at_min, corner.settled_degC) for corner in programme.corners), strict=True)
    return max(*later, float(np.interp(put_in, minutes, degrees)))


_COLUMNS = ("half_low_degC", "half_high_degC", "width_K")


@cache
def usual_malt_degC() -> float:
    """Where the malt that the rate was fitted to is half open [degC]; other grains keep it at their own centre."""
    fitted = known.opening(known.usual(), True)
    return 0.5 * (fitted.half_low_degC + fitted.half_high_degC)


def _cook(species: str) -> tuple[FloatArray, FloatArray] | None:
    cooking = known.raw(species).cooking
    return None if cooking is None else (np.array(cooking.degC), np.array(cooking.opened))
