"""Liquor and settled temperatures of a mash by its heat balance. See docs/order.md.

Two temperatures are never mixed up: `liquor_degC` is the water before it meets the grain, `settled_degC` the mash
after mixing. Thickness is litres of liquor per kilogram of grist as weighed, a litre counted as a kilogram.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import Address, FloatArray, Refused, at
from gristwright.reference import csv_rows
from gristwright.stages.mash.kept import EXTRACT_L_PER_KG, HELD_L_PER_KG
from gristwright.stages.mash.limits import liquor_problems

# What stays in the bed once the worts are drawn: dry grain (1 - 0.045) x (1 - 0.79) of a kilogram of grist as weighed.
SPENT_KG_PER_KG, SPENT_HEAT_RATIO = 0.20, 0.38


def slaking(moisture_pct: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Heat capacity of grist over that of water, and the rise by slaking [K], at a moisture [%]; shape of the input.

    Linear between the rows of reference/tables/slaking_heat.csv (brewing-room handbook 1984/85), held at its ends.
    """
    rows = csv_rows("tables/slaking_heat.csv")
    moisture, ratio, rise = (
        np.array([float(row[name]) for row in rows]) for name in ("moisture_pct", "heat_ratio", "slaking_K")
    )
    at = np.asarray(moisture_pct, dtype=float)
    return np.asarray(np.interp(at, moisture, ratio)), np.asarray(np.interp(at, moisture, rise))


def liquor_degC(
    settled_degC: ArrayLike,
    grist_degC: ArrayLike,
    L_per_kg: ArrayLike,
    heat_ratio: ArrayLike,
    slaking_K: ArrayLike = 0.0,
    vessel_loss_K: ArrayLike = 0.0,
) -> FloatArray:
    """Liquor [degC] that makes the mash settle at `settled_degC`; shapes broadcast.

    T_w = T + (S/r) (T - T_g) - (1 + S/r) (dT_s - loss), brewing-room handbook 1984/85; `vessel_loss_K` is what the
    settled mash loses to a cold tun, zero for a warm one. Raises Refused for a liquor that cannot be had.
    """
    settled, grist, r, ratio = (np.asarray(x, dtype=float) for x in (settled_degC, grist_degC, L_per_kg, heat_ratio))
    share = ratio / r
    net_K = np.asarray(slaking_K) - np.asarray(vessel_loss_K)
    liquor = np.asarray(settled + share * (settled - grist) - (1.0 + share) * net_K)
    return _possible(liquor, grist, settled, at("mash", "first water"))


def mash_settled_degC(
    liquor_degC: ArrayLike,
    grist_degC: ArrayLike,
    L_per_kg: ArrayLike,
    heat_ratio: ArrayLike,
    slaking_K: ArrayLike = 0.0,
    vessel_loss_K: ArrayLike = 0.0,
) -> FloatArray:
    """Settled mash [degC] that a liquor makes; the same balance the other way round; shapes broadcast."""
    liquor, grist, r, ratio = (np.asarray(x, dtype=float) for x in (liquor_degC, grist_degC, L_per_kg, heat_ratio))
    mixed = (ratio * grist + r * liquor) / (ratio + r)
    return np.asarray(mixed + np.asarray(slaking_K) - np.asarray(vessel_loss_K))


def mixed_degC(litres: ArrayLike, degC: ArrayLike) -> FloatArray:
    """Temperature [degC] of several waters run together; the last axis is the waters."""
    volume, heat = np.asarray(litres, dtype=float), np.asarray(degC, dtype=float)
    return np.asarray((volume * heat).sum(axis=-1) / volume.sum(axis=-1))


def bed_heat_L_per_kg() -> float:
    """Heat capacity of a drained bed as litres of water per kilogram of the grist it was made of."""
    return HELD_L_PER_KG + SPENT_KG_PER_KG * SPENT_HEAT_RATIO


def later_liquor_degC(settled_degC: ArrayLike, bed_degC: ArrayLike, L_per_kg: ArrayLike) -> FloatArray:
    """Liquor [degC] of a later water on a drained bed at `bed_degC`, so that both settle at `settled_degC`.

    Raises Refused for a liquor that cannot be had.
    """
    settled, bed, r = (np.asarray(x, dtype=float) for x in (settled_degC, bed_degC, L_per_kg))
    liquor = np.asarray(settled + bed_heat_L_per_kg() / r * (settled - bed))
    return _possible(liquor, np.zeros_like(liquor), settled, at("mash", "later water"))


def sparged_degC(liquor_degC: ArrayLike, bed_degC: ArrayLike, L_per_kg: ArrayLike) -> FloatArray:
    """Where liquor let onto a drained bed settles with it [degC]: the same balance the other way round."""
    liquor, bed, r = (np.asarray(x, dtype=float) for x in (liquor_degC, bed_degC, L_per_kg))
    held = bed_heat_L_per_kg()
    return np.asarray((held * bed + r * liquor) / (held + r))


def before_adding_degC(
    settled_degC: ArrayLike, added_degC: ArrayLike, added_kg: ArrayLike, heat_ratio: ArrayLike, held_L: ArrayLike
) -> FloatArray:
    """Where a mash must stand [degC] before cold grain goes in, so that it settles at `settled_degC`.

    The heat of slaking is not counted. `held_L` is the heat capacity of what stands in the vessel, as litres of water.
    """
    settled, added = np.asarray(settled_degC, dtype=float), np.asarray(added_degC, dtype=float)
    part = np.asarray(added_kg, dtype=float) * np.asarray(heat_ratio) / np.asarray(held_L, dtype=float)
    return np.asarray(settled + part * (settled - added))


def second_L_per_kg(wort_L_per_t: float, extract_kg_per_t: float, first_L_per_kg: float, moisture_pct: float) -> float:
    """Second water [L/kg] that brings the wort of the first two to the litres a house collects.

    Water in the wort and held in the bed, less the first water and the grain's own.
    """
    into_wort = (wort_L_per_t - EXTRACT_L_PER_KG * extract_kg_per_t) / 1000.0
    return into_wort + HELD_L_PER_KG - moisture_pct / 100.0 - first_L_per_kg


def wort_of_waters_L_per_t(first_two_L_per_kg: float, extract_kg_per_t: float, moisture_pct: float) -> float:
    """Wort [L/t] that the first two waters give: the same balance the other way round."""
    water = first_two_L_per_kg + moisture_pct / 100.0 - HELD_L_PER_KG
    return 1000.0 * water + EXTRACT_L_PER_KG * extract_kg_per_t


def _possible(liquor: FloatArray, grist: FloatArray, settled: FloatArray, where: Address) -> FloatArray:
    problems = liquor_problems(float(np.max(liquor)), float(np.min(liquor - grist)), float(np.max(settled)), where)
    if problems:
        raise Refused(problems)
    return liquor
