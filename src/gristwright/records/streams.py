"""What flows from one stage to the next, per tonne of grist as it is; every array has shape (members,)."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import FloatArray


@dataclass(frozen=True)
class Grist:
    """The blended grist: what its certificates promise."""

    extract_asis_pct: FloatArray
    fermentable_extract_pct: FloatArray
    theory_lpa_per_t: FloatArray
    psy_lpa_per_t: FloatArray
    diastatic_power_degLintner: FloatArray
    dextrinising_units: FloatArray
    malt_cost_per_t: FloatArray
    malt_extract_asis_pct: FloatArray
    raw_theory_lpa_per_t: FloatArray
    raw_lost_lpa_per_t: FloatArray


@dataclass(frozen=True)
class Wort:
    """Wort drawn off the grain, and the extract that stayed behind."""

    volume_L_per_t: FloatArray
    extract_kg_per_t: FloatArray
    lost_extract_kg_per_t: FloatArray
    original_gravity_degP: FloatArray
    original_gravity_sg: FloatArray
    potential_lpa_per_t: FloatArray
    lost_lpa_per_t: FloatArray
    unconverted_lpa_per_t: FloatArray  # starch that the mash and the washback leave, against the laboratory
    dextrin_lpa_per_t: FloatArray  # dextrins beyond the laboratory's; below zero where the mash leaves fewer
    starch_left_pct: FloatArray | None = None  # of the starch, washback included; None: not simulated
    unopened_pct: FloatArray | None = None  # the part of it that never opened
    mash_left_pct: FloatArray | None = None  # of the starch, neither sugar nor dextrin when the mash ends
    held_back_pct: FloatArray | None = None  # of the starch, what more enzyme would still turn
    fermentable_pct: FloatArray | None = None  # of the dissolved extract, as this house ferments it


@dataclass(frozen=True)
class Wash:
    """Fermented wash ready for the still."""

    volume_L_per_t: FloatArray
    abv_pct: FloatArray
    lpa_per_t: FloatArray
    lost_lpa_per_t: FloatArray
    final_gravity_sg: FloatArray
    attenuation_pct: FloatArray


@dataclass(frozen=True)
class NewSpirit:
    """Spirit as filled, and where the still lost alcohol."""

    lpa_per_t: FloatArray
    abv_pct: FloatArray
    pot_ale_lpa_per_t: FloatArray
    spent_lees_lpa_per_t: FloatArray
    handling_lpa_per_t: FloatArray
    pot_ale_L_per_t: FloatArray
    low_wines_L_per_t: FloatArray
    charge_abv_pct: FloatArray


@dataclass(frozen=True)
class Bottled:
    """What reaches the bottle."""

    lpa_per_t: FloatArray
    lost_lpa_per_t: FloatArray
    bottles_per_t: FloatArray
    water_L_per_t: FloatArray
