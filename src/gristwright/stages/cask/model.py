"""Two permeances and two vapour pressures: what a cask loses month by month. See docs/cask.md."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Draws, FloatArray, refuse_if_any
from gristwright.numerics.integrate import rk4_step
from gristwright.quantities import alcoholometry
from gristwright.records.cask import CaskFill, CaskKind, Climate, MaturedCask
from gristwright.stages.cask import limits, vapour

RESTS_ON: tuple[str, ...] = (
    "cask.ethanol_permeance",
    "cask.water_permeance",
    "cask.store_and_cask_spread",
    "cask.wood_uptake_L_per_m2",
    "cask.refill_uptake_share",
    "cask.wood_water_kg_per_m2",
    "cask.soak_years",
)

MONTHS_PER_YEAR = 12
STEPS_PER_MONTH = 8
# Below this share of the fill the wetted wall is taken to shrink with the liquid, so that a cask runs dry smoothly.
NEARLY_EMPTY = 0.05
TINY_KG = 1e-12
# A cask with less than this share of its fill has run dry: it has no strength worth the name.
RUN_DRY = 0.01

# Rows of the state, each of shape (members,) [kg]: what is in the cask, what has left it, what the wood holds.
ETHANOL, WATER, ETHANOL_OUT, WATER_OUT, ETHANOL_IN_WOOD, WATER_IN_WOOD = range(6)


@dataclass(frozen=True)
class Wall:
    """What a wall lets through and soaks up; arrays (members,), permeance times area [kg per year and kPa], [kg]."""

    ethanol_pass: FloatArray
    water_pass: FloatArray
    soak_kg: FloatArray
    given_water_kg: FloatArray
    soak_years: FloatArray
    fill_kg: float


def inside_area_m2(capacity_L: float) -> float:
    """Inside area [m2] of a cask of this capacity, similar in shape to a 200 L barrel."""
    return float(vapour.constant("area_200L_m2") * (capacity_L / 200.0) ** (2.0 / 3.0))


def is_new_wood(kind: CaskKind) -> bool:
    """Whether the cask is filled for the first time with anything."""
    return kind.fill_number == 1 and not kind.prior_contents


def fill_masses_kg(fill: CaskFill) -> tuple[float, float]:
    """Ethanol and water [kg] in the fill. OIML R 22."""
    kg = fill.fill_L * alcoholometry.density_kg_m3(fill.entry_abv_pct) / 1000.0
    share = alcoholometry.mass_fraction_from_abv(fill.entry_abv_pct)
    return kg * share, kg * (1.0 - share)


def lpa_from_kg(ethanol_kg: FloatArray) -> FloatArray:
    """Litres of pure alcohol at 20 degC in a mass of ethanol [kg]; any shape. OIML R 22."""
    return 1000.0 * ethanol_kg / alcoholometry.density_by_mass_kg_m3(1.0)


def volume_and_strength(ethanol_kg: FloatArray, water_kg: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Litres and %vol at 20 degC of these masses [kg]; any shape. OIML R 22."""
    total = np.maximum(ethanol_kg + water_kg, TINY_KG)
    share = np.clip(ethanol_kg / total, 0.0, 1.0)
    litres = 1000.0 * total / alcoholometry.density_by_mass_kg_m3(share)
    return litres, alcoholometry.abv_pct_from_mass_fraction(share)


def wall_of(fill: CaskFill, draws: Draws) -> Wall:
    """The wall of this cask for every member."""
    area = inside_area_m2(fill.kind.capacity_L)
    thin = vapour.constant("wall_mm") / fill.kind.wall_mm * draws["cask.store_and_cask_spread"]
    fill_kg = sum(fill_masses_kg(fill))
    new = is_new_wood(fill.kind)
    uptake = draws["cask.wood_uptake_L_per_m2"] * (1.0 if new else draws["cask.refill_uptake_share"])
    return Wall(
        ethanol_pass=draws["cask.ethanol_permeance"] * thin * area,
        water_pass=draws["cask.water_permeance"] * thin * area,
        soak_kg=uptake * area * fill_kg / fill.fill_L,
        given_water_kg=draws["cask.wood_water_kg_per_m2"] * area * (1.0 if new else 0.0),
        soak_years=draws["cask.soak_years"],
        fill_kg=fill_kg,
    )


def rate_in(wall: Wall, degC: float, humidity: float) -> Callable[[float, FloatArray], FloatArray]:
    """Rate of change of the state [kg per year] in a month of this temperature and relative humidity [0..1].

    Each flux is permeance x area x (vapour pressure inside - outside); no ethanol in the air of the store.
    """
    ethanol_kPa, water_kPa = vapour.ethanol_saturation_kPa(degC), vapour.water_saturation_kPa(degC)

    def rate(year: float, state: FloatArray) -> FloatArray:
        total = np.maximum(state[ETHANOL] + state[WATER], TINY_KG)
        share = np.clip(state[ETHANOL] / total, 0.0, 1.0)
        wet = np.minimum(total / (NEARLY_EMPTY * wall.fill_kg), 1.0)
        ethanol_activity, water_activity = vapour.activities(share)
        out_ethanol = wall.ethanol_pass * ethanol_activity * ethanol_kPa * wet
        out_water = wall.water_pass * (water_activity - humidity) * water_kPa * wet
        pace = np.exp(-year / wall.soak_years) / wall.soak_years * wet
        soak_ethanol = wall.soak_kg * share * pace
        soak_water = (wall.soak_kg * (1.0 - share) - wall.given_water_kg) * pace
        losses = np.stack([out_ethanol, out_water, soak_ethanol, soak_water])
        return np.concatenate([-(losses[:2] + losses[2:]), losses])

    return rate


def history_kg(fill: CaskFill, climate: Climate, draws: Draws, steps_per_month: int = STEPS_PER_MONTH) -> FloatArray:
    """The state [kg] at filling and after every month, shape (months + 1, 6, members). Inputs are not checked here."""
    wall = wall_of(fill, draws)
    state = np.zeros((6, len(wall.soak_years)))
    state[ETHANOL], state[WATER] = fill_masses_kg(fill)
    step = 1.0 / (MONTHS_PER_YEAR * steps_per_month)
    states = [state]
    for month in range(fill.months):
        calendar = (fill.first_month - 1 + month) % MONTHS_PER_YEAR
        rate = rate_in(wall, climate.month_degC[calendar], climate.month_humidity[calendar])
        for part in range(steps_per_month):
            state = rk4_step(rate, month / MONTHS_PER_YEAR + part * step, state, step)
        states.append(state)
    return np.stack(states)


def balance_error(states: FloatArray) -> float:
    """Largest share of the filled ethanol or water that cask, air and wood together do not account for."""
    first, last = states[0, :2], states[-1]
    missing = first - (last[:2] + last[2:4] + last[4:6])
    return float(np.max(np.abs(missing) / first))


def mature_unchecked(fill: CaskFill, climate: Climate, draws: Draws) -> MaturedCask:
    """As `mature`, for any liquid of ethanol and water: the limits of the trade are not applied."""
    states = history_kg(fill, climate, draws)
    volume_L, strength_pct = volume_and_strength(states[:, ETHANOL], states[:, WATER])
    abv_pct = np.where(volume_L < RUN_DRY * fill.fill_L, np.nan, strength_pct)
    lpa_L = lpa_from_kg(states[-1])
    return MaturedCask(
        volume_L=volume_L[-1],
        abv_pct=abv_pct[-1],
        lpa_L=lpa_L[ETHANOL],
        filled_lpa_L=fill.fill_L * fill.entry_abv_pct / 100.0,
        evaporated_lpa_L=lpa_L[ETHANOL_OUT],
        left_in_wood_lpa_L=lpa_L[ETHANOL_IN_WOOD],
        month_volume_L=volume_L,
        month_abv_pct=abv_pct,
        balance_error=balance_error(states),
    )


def mature(fill: CaskFill, climate: Climate, draws: Draws) -> MaturedCask:
    """The cask after its months; arrays (members,), litres and %vol at 20 degC.

    Ethanol and water pass the wall by vapour pressure (two permeances, fitted to Baldwin & Andreasen 1974 and
    Schoeneman, Dyer & Earl 1971), month by month in the climate of the store. The strength of a cask that runs dry
    is NaN. Raises Refused: see limits.cask_problems.
    """
    refuse_if_any(limits.cask_problems(fill, climate))
    return mature_unchecked(fill, climate, draws)
