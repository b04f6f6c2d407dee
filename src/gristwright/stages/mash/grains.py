"""What a lot of malt or raw grain brings into a simulated mash. See docs/mash_simulation.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.lot import Material
from gristwright.records.mash import MashGrain

# Extract of raw grain that no enzyme turns into sugar: soluble protein, gums, minerals; from memory.
RAW_INERT_KG_PER_KG, RAW_READY_KG_PER_KG = 0.03, 0.01
LEAST_STARCH_KG_PER_KG = 0.3
# Kilograms of sugar and dextrin from one of starch, as 15 % monosaccharide, 68 % maltose and 17 % maltotriose.
MALT_SUGAR_PER_STARCH = 0.15 * 1.1111 + 0.68 * 1.0556 + 0.17 * 1.0370


def malt(
    key: str,
    material: Material,
    share: FloatArray,
    extract_asis_pct: FloatArray,
    fermentability_pct: FloatArray,
    carbohydrate_share: FloatArray,
    moisture_pct: FloatArray,
    draws: Draws,
) -> MashGrain:
    """A malt of so much laboratory extract as is, of which a share is sugar and dextrin; arrays (members,).

    Caramel and roasted malts bring sugar and extract that stay as they are, every other malt starch.
    """
    extract = extract_asis_pct / 100.0
    if material.dark:
        ready = extract * fermentability_pct / 100.0
        return _grain(key, material, share, (np.zeros_like(extract), ready, extract - ready), moisture_pct)
    ready = draws["mash.ready_sugar_kg_per_kg"]
    carbohydrate = extract * carbohydrate_share
    starch = np.maximum((carbohydrate - ready) / MALT_SUGAR_PER_STARCH, LEAST_STARCH_KG_PER_KG)
    return _grain(key, material, share, (starch, ready, extract - carbohydrate), moisture_pct)


def raw(
    key: str, material: Material, share: FloatArray, starch_asis_pct: FloatArray, moisture_pct: FloatArray
) -> MashGrain:
    """A raw grain of so much starch as is, opened already where it is flaked; arrays (members,)."""
    flat = np.ones_like(starch_asis_pct)
    parts = (starch_asis_pct / 100.0, RAW_READY_KG_PER_KG * flat, RAW_INERT_KG_PER_KG * flat)
    return _grain(key, material, share, parts, moisture_pct)


def husk(key: str, material: Material, share: FloatArray, moisture_pct: FloatArray) -> MashGrain:
    """Husks, which bring nothing to the wort; arrays (members,)."""
    nothing = np.zeros_like(moisture_pct)
    return _grain(key, material, share, (nothing, nothing, nothing), moisture_pct)


def _grain(
    key: str,
    material: Material,
    share: FloatArray,
    parts: tuple[FloatArray, FloatArray, FloatArray],
    moisture_pct: FloatArray,
) -> MashGrain:
    return MashGrain(
        key, material.species, material.malted, share, *parts, moisture_pct,
        opened=material.opened, dark=material.dark, husk=material.husk,
    )  # fmt: skip
