"""What goes into a simulated wash and the course it takes; a litre is one of wash at 20 degC. Page: docs/wash.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.basics import BoolArray, FloatArray, Problem

WASH_MODEL = "living_wash"  # the named model that is taken where none is said


@dataclass(frozen=True)
class WashWort:
    """Wort, or a whole mash, as it is pitched; every array (members,), g/L of liquid unless said.

    Of the enzymes alive it holds what they would turn in 72 hours of a usual wash, as exponents: a share
    1 - exp(-exponent) of what there is. Both are nothing in a boiled wort.
    """

    original_gravity_degP: FloatArray
    glucose_g_per_L: FloatArray  # with fructose and sucrose
    maltose_g_per_L: FloatArray
    maltotriose_g_per_L: FloatArray
    chains_g_per_L: FloatArray  # dextrin that alpha-amylase cuts
    limit_dextrin_g_per_L: FloatArray
    open_starch_g_per_L: FloatArray
    alpha_exponent: FloatArray
    dextrinase_exponent: FloatArray
    fan_mg_per_L: FloatArray
    pH: FloatArray
    bacteria_log10_per_mL: FloatArray


@dataclass(frozen=True)
class WashVessel:
    """One washback as it is set; arrays (members,)."""

    filled_L: FloatArray
    hours: float
    set_degC: FloatArray
    room_degC: FloatArray
    wall_W_per_K: FloatArray
    cooling_W_per_K: FloatArray  # nothing where it is not cooled
    water_degC: FloatArray
    cooled_from_degC: FloatArray


@dataclass(frozen=True)
class PitchedYeast:
    """Yeast as it is pitched; arrays (members,)."""

    alive_g_per_L: FloatArray  # dry matter
    dead_g_per_L: FloatArray
    takes_maltotriose: FloatArray  # pace on maltotriose over that of a yeast that takes it readily
    ethanol_limit_g_per_L: FloatArray
    coldest_degC: FloatArray  # from here to the warmest it grows
    best_degC: FloatArray
    warmest_degC: FloatArray
    pace: FloatArray  # growth and uptake over those of a distiller's yeast at the best temperature


@dataclass(frozen=True)
class WashCourse:
    """A simulated wash. `times_h` (times,); courses (times, members); ends (members,)."""

    times_h: FloatArray
    degC: FloatArray
    gravity_sg: FloatArray  # apparent, as a hydrometer shows it
    abv_pct: FloatArray
    sugar_g_per_L: FloatArray
    dextrin_g_per_L: FloatArray
    yeast_alive_g_per_L: FloatArray
    co2_kg_per_m3: FloatArray  # given off so far
    lactic_g_per_L: FloatArray
    pH: FloatArray
    end: WashEnd
    balance_error: float  # largest share of the mass that is unaccounted for
    heat_error: float  # the same of the heat
    warnings: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class WashEnd:
    """What a wash has come to when it is charged; arrays (members,)."""

    ethanol_g_per_L: FloatArray  # in the wash
    stripped_g_per_L: FloatArray  # ethanol gone with the gas
    kept: FloatArray  # litres over those that the wort's fermentable matter promises
    sugar_left_g_per_L: FloatArray  # that yeast could have taken
    attenuated: FloatArray  # of what the yeast could take, 0 to 1
    glycerol_g_per_L: FloatArray
    lactic_g_per_L: FloatArray
    lactic_cost: FloatArray  # share of the litres that went to lactic acid
    bacteria_per_mL: FloatArray
    yeast_made_g_per_L: FloatArray
    yeast_dead_share: FloatArray
    peak_degC: FloatArray
    peak_h: FloatArray
    stops_h: FloatArray  # from here on less than 0.5 % of the litres are made
    most_co2_kg_per_m3_h: FloatArray
    co2_kg_per_m3: FloatArray
    heat_MJ_per_m3: FloatArray
    cooled_MJ_per_m3: FloatArray
    fan_left_mg_per_L: FloatArray
    furfural_left: FloatArray  # of what the wort brought, 0 to 1
    pH: FloatArray
    stuck: BoolArray  # stopped with sugar left
