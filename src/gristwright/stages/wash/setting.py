"""A washback as the house sets it: its yeast, its walls and cooling, its bacteria. See docs/wash.md."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.records.wash import PitchedYeast, WashVessel
from gristwright.records.washbacks import Washbacks, Yeast
from gristwright.reference import csv_rows

# Height of a washback over its width; estimate.
HEIGHT_OVER_WIDTH = 1.4
# A cooling of which no surface is stated is taken to be enough: so much for each litre.
ENOUGH_W_PER_K_L = 50.0
# Let rise to here before it is cooled, where the house does not say: distiller, and brewer above the set temperature.
COOLED_FROM_DEGC, BREWER_ABOVE_SET_K = 33.0, 2.0
NEVER_DEGC = 99.0
# Hops and boiling hold lactic bacteria down in a brewer's wort (common practice).
BOILED_LOG10 = 0.0


@cache
def row(table: str, key: str) -> dict[str, str]:
    """The row of a table of reference/tables with that key."""
    return next(row for row in csv_rows(f"tables/{table}.csv") if row["key"] == key)


def between(low: str, high: str, place: FloatArray) -> FloatArray:
    """A value between two ends of a table, (members,)."""
    return np.asarray(float(low) + (float(high) - float(low)) * place)


def yeast_kind(backs: Washbacks, brews: bool) -> Yeast:
    """The kind of yeast: the house's, or what is taken where it says none."""
    return backs.yeast or ("ale" if brews else "distilling")


def pitched(backs: Washbacks, draws: Draws, brews: bool) -> PitchedYeast:
    """The yeast of a house as it is pitched, (members,)."""
    kind, place = row("yeasts", yeast_kind(backs, brews)), draws["wash.yeast_kind"]
    cells = _stated(backs.pitch_million_per_mL, draws["wash.pitch_million_per_mL"])
    dry = cells * draws["wash.g_per_million_per_mL"]
    alive = _stated(backs.viability_pct, draws["wash.viability_pct"]) / 100.0
    limit_pct = between(kind["ethanol_limit_low_pct"], kind["ethanol_limit_high_pct"], place)
    coldest, best, warmest = (
        between(kind[f"{end}_low_degC"], kind[f"{end}_high_degC"], place) for end in ("coldest", "best", "warmest")
    )
    return PitchedYeast(
        alive_g_per_L=dry * alive,
        dead_g_per_L=dry * (1.0 - alive),
        takes_maltotriose=np.full_like(place, float(kind["maltotriose"])),
        ethanol_limit_g_per_L=limit_pct * ETHANOL_20C_kg_m3 / 100.0,
        coldest_degC=coldest,
        best_degC=best,
        warmest_degC=warmest,
        pace=np.full_like(place, float(kind["pace"])),
    )


def vessel(backs: Washbacks, filled_L: float, draws: Draws, brews: bool) -> WashVessel:
    """One washback of a house with so much wort in it, (members,)."""
    wall = row("wash_walls", backs.wall)
    loses = draws["wash.wall_W_per_m2K"] * between(wall["factor_low"], wall["factor_high"], draws["wash.wall_place"])
    flat = np.ones_like(loses)
    return WashVessel(
        filled_L=filled_L * flat,
        hours=float(backs.hours),
        set_degC=backs.set_degC * flat,
        room_degC=_stated(backs.room_degC, draws["wash.room_degC"]),
        wall_W_per_K=loses * wall_m2(backs.volume_L),
        cooling_W_per_K=_cooling_W_per_K(backs, filled_L, draws, brews),
        water_degC=_stated(backs.water_degC, draws["wash.water_degC"]),
        cooled_from_degC=cooled_from_degC(backs, brews) * flat,
    )


def cooled(backs: Washbacks, brews: bool) -> bool:
    """Whether the washbacks are cooled: as the house says; where it does not, a brewer's are and a distiller's not."""
    return backs.cooling not in ("", "none") or (brews and not backs.cooling)


def cooled_from_degC(backs: Washbacks, brews: bool) -> float:
    """Where cooling begins [degC]; out of reach where there is none."""
    if not cooled(backs, brews):
        return NEVER_DEGC
    if backs.cooled_from_degC is not None:
        return backs.cooled_from_degC
    return backs.set_degC + BREWER_ABOVE_SET_K if brews else max(COOLED_FROM_DEGC, backs.set_degC)


def wall_m2(volume_L: float) -> float:
    """Wall, lid and bottom of an upright round vessel [m2]."""
    width = _width_m(volume_L)
    return math.pi * width * width * (HEIGHT_OVER_WIDTH + 0.5)


def surface_m2(volume_L: float) -> float:
    """Surface of the wash in it [m2]."""
    return math.pi * _width_m(volume_L) ** 2 / 4.0


def _width_m(volume_L: float) -> float:
    return math.cbrt(4.0 * volume_L / 1000.0 / (math.pi * HEIGHT_OVER_WIDTH))


def _cooling_W_per_K(backs: Washbacks, filled_L: float, draws: Draws, brews: bool) -> FloatArray:
    place = draws["wash.cooling_place"]
    if not cooled(backs, brews):
        return np.zeros_like(place)
    if backs.cooling_m2 is None or not backs.cooling:
        return np.full_like(place, ENOUGH_W_PER_K_L * filled_L)
    kind = row("wash_cooling", backs.cooling)
    return between(kind["low_W_per_m2K"], kind["high_W_per_m2K"], place) * backs.cooling_m2


def bacteria_log10_per_mL(backs: Washbacks, draws: Draws, brews: bool) -> FloatArray:
    """Lactic bacteria in a millilitre at pitching, as a logarithm to ten; (members,)."""
    place = draws["wash.bacteria_place"]
    if brews and not backs.bacteria:
        return np.full_like(place, BOILED_LOG10)
    house = row("wash_bacteria", backs.bacteria or "usual")
    return between(house["low_log10_per_mL"], house["high_log10_per_mL"], place)


def _stated(value: float | None, drawn: FloatArray) -> FloatArray:
    return drawn if value is None else np.full_like(drawn, value)
