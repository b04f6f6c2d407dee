"""Gums of the grain in the wort, what a rest splits of them, and how thick wort is. See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.lot import Material
from gristwright.records.plant import MashPlan
from gristwright.reference.grains import mashed, usual

GUM_REST_DEGC = (38.0, 45.0)
REFERENCE_BETA_GLUCAN_MG_PER_L = 120.0
WATER_20C_mPa_s = 1.002


def rest_min(plan: MashPlan) -> float:
    """Minutes that a mash rests where gums are split."""
    low, high = GUM_REST_DEGC
    return sum(rest.minutes for rest in plan.rests if low <= rest.settled_degC <= high)


def of_grain(shares: FloatArray, materials: Sequence[Material]) -> FloatArray:
    """Shares of the grain alone, (..., lots), adding to one: husks bring no gums and take none away."""
    grain = np.asarray(shares) * np.array([float(not material.husk) for material in materials])
    return np.asarray(grain / np.maximum(grain.sum(axis=-1, keepdims=True), 1e-9))


def pentosan_pct(shares: FloatArray, materials: Sequence[Material]) -> FloatArray:
    """Extractable pentosan of the grist [% of dry grain]; `shares` (..., lots), husks bring none."""
    each = [0.0 if m.husk else mashed(m.species, m.key).pentosan_pct for m in materials]
    return np.asarray(np.asarray(shares) @ np.array(each))


def left_of(
    per_min: str, shares: FloatArray, materials: Sequence[Material], plan: MashPlan, draws: Draws
) -> FloatArray:
    """Part of a gum that rest and added enzyme leave, (members,), never none; dark malt and raw grain split nothing."""
    live = np.asarray(shares) @ np.array([float(m.malted and not m.dark) for m in materials])
    floor = draws["grist.gum_rest_left"]
    rested = floor + (1.0 - floor) * np.exp(-draws[per_min] * rest_min(plan) * live)
    return np.asarray(rested * draws["grist.gum_enzyme_left"] if plan.gum_enzyme == "added" else rested)


def log_thickness(
    shares: FloatArray,
    materials: Sequence[Material],
    beta_glucan_mg_per_L: FloatArray,
    plan: MashPlan,
    draws: Draws,
) -> FloatArray:
    """Logarithm of the wort's viscosity over that of a usual wort of barley malt, strength alike, (members,).

    `beta_glucan_mg_per_L` of laboratory wort (members, lots), of malt and of raw grain.
    """
    shares = of_grain(shares, materials)
    glucan = (shares * beta_glucan_mg_per_L).sum(axis=-1)
    glucan = glucan * left_of("grist.gum_rest_beta_glucan_per_min", shares, materials, plan, draws)
    pentosan = pentosan_pct(shares, materials)
    pentosan = pentosan * left_of("grist.gum_rest_pentosan_per_min", shares, materials, plan, draws)
    by_glucan = draws["grist.bed_beta_glucan_effect"] * (glucan - REFERENCE_BETA_GLUCAN_MG_PER_L) / 100.0
    by_pentosan = draws["grist.bed_pentosan_effect"] * (pentosan - mashed(usual()).pentosan_pct)
    return np.asarray(by_glucan + by_pentosan)


def water_mPa_s(degC: float) -> float:
    """Viscosity of water at ordinary pressure, 0-100 degC: Kestin, Sokolov & Wakeham 1978, J. Phys. Chem. Ref. Data
    7:941-948 (the polynomial from memory, held against handbook values in the tests)."""
    below = 20.0 - degC
    power = 1.2378 - 1.303e-3 * below + 3.06e-6 * below**2 + 2.55e-8 * below**3
    return float(WATER_20C_mPa_s * 10.0 ** (below / (degC + 96.0) * power))


def wort_mPa_s(g_per_100g: FloatArray, degC: float, draws: Draws) -> FloatArray:
    """Viscosity of wort without gums to speak of, (members,): water's, times an exponential of extract to water."""
    part = g_per_100g / (100.0 - g_per_100g)
    return np.asarray(water_mPa_s(degC) * np.exp(draws["grist.wort_strength_effect"] * part))
