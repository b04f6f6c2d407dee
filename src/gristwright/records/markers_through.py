"""A marker followed from malt to cask."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import Band


@dataclass(frozen=True)
class MarkerLab:
    """One laboratory pair of the house: a marker in its malt and in its new spirit, with what the mash gave."""

    malt_mg_per_kg: float
    spirit_mg_per_L: float
    lpa_per_t: float
    spirit_abv_pct: float
    hearts_end_abv_pct: float = 60.0
    share_of_grist: float = 1.0


@dataclass(frozen=True)
class MarkerStep:
    """Where the marker stands after one step, with what that step rests on."""

    step: str
    title: str
    amount: Band
    unit: str
    standing: str
    source: str


@dataclass(frozen=True)
class MarkerChain:
    """A marker from malt to cask. `ppm_to_ppm_pct` and `by_mass_pct` are two readings of one transfer.

    A marker with `part_of` is already counted in that one.
    """

    marker: str
    title: str
    passes: str
    sentence: str
    steps: tuple[MarkerStep, ...]
    ppm_to_ppm_pct: Band  # mg/L of spirit over mg/kg of grist
    by_mass_pct: Band  # of what the grist held
    plant_factor: Band  # against the table's chain
    measured: bool
    part_of: str = ""  # the marker that it adds up to with its fellows
