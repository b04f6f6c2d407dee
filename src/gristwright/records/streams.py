"""What flows from one stage to the next, per tonne of grist as it is; every array has shape (members,)."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import BoolArray, FloatArray
from gristwright.records.wash import WashEnd


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
class Draining:
    """How wort leaves its grain: first wort and washings into the washback, L/kg, their strength and temperature.

    `washed_L_per_kg` is all that goes through the bed after the first wort, weak worts of the next mash among it.
    """

    first_L_per_kg: FloatArray
    first_g_per_100g: FloatArray
    first_degC: float
    wash_L_per_kg: FloatArray
    wash_g_per_100g: FloatArray
    wash_degC: float
    washed_L_per_kg: FloatArray
    held_share: FloatArray  # of the extract, in what the grain holds when the first wort is off


@dataclass(frozen=True)
class RunOff:
    """The hours of a mash in its vessel; every array (members,).

    `usual_h` are those of an all-malt mash of barley in the same vessel, `in_cycle_h` those that a usual cycle holds.
    `slow` is the run-off over that of the reference mash, wort for wort. A mash `never` run off stands too long, or
    lies in a vessel that is not built for it.
    """

    hours: FloatArray
    usual_h: FloatArray
    in_cycle_h: FloatArray
    slow: FloatArray
    never: BoolArray


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
    run_off: RunOff | None = None  # None: the whole mash goes on, or nothing is known of its grain


@dataclass(frozen=True)
class Wash:
    """Fermented wash ready for the still."""

    volume_L_per_t: FloatArray
    abv_pct: FloatArray
    lpa_per_t: FloatArray
    lost_lpa_per_t: FloatArray
    final_gravity_sg: FloatArray
    attenuation_pct: FloatArray
    end: WashEnd | None = None  # of the simulated wash; None: the balance's usual recovery was taken


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
