"""Named model `living_wash`: yeast, heat, enzymes alive and lactic bacteria in one washback. See docs/wash.md.

Sugars are taken in order (glucose holds back maltose and maltotriose, maltose holds back maltotriose) by yeast that
grows on amino nitrogen, sterols and air, and goes on fermenting when it has done so. Growth and uptake have a best
temperature that ethanol lowers; heat and ethanol kill. In an unboiled wash alpha-amylase and limit dextrinase go on
until the pH stops them, and lactic bacteria take their part. Constants: reference/tables/wash_living.csv.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from typing import TypeAlias

import numpy as np

from gristwright.basics import Draws, FloatArray
from gristwright.records.mash import USUAL_FERMENT_HOURS
from gristwright.records.wash import PitchedYeast, WashVessel, WashWort
from gristwright.reference.load import csv_rows
from gristwright.stages.wash.heat_limit import cardinal
from gristwright.stages.wash.washback_heat import Heat, cooled, mean_kept, warmed

GAS_CONSTANT = 8.314e-3  # kJ/(mol K)
GLUCOSE, MALTOSE, MALTOTRIOSE, STARCH = 180.156, 342.297, 504.438, 162.141
# Theory, by mass: ethanol and carbon dioxide of hexose, hexose of each sugar, maltose of dextrin.
ETHANOL_PER_HEXOSE = 2.0 * 46.068 / GLUCOSE
HEXOSE_PER_MALTOSE, HEXOSE_PER_MALTOTRIOSE = 2.0 * GLUCOSE / MALTOSE, 3.0 * GLUCOSE / MALTOTRIOSE
MALTOSE_PER_STARCH = MALTOSE / (2.0 * STARCH)
TINY = 1e-9


@cache
def constants() -> dict[str, float]:
    """The constants of the model by name, in the units of their table."""
    return {row["name"]: float(row["value"]) for row in csv_rows("tables/wash_living.csv")}


def promised_g_per_L(hexose_g_per_L: FloatArray) -> FloatArray:
    """Ethanol that the predicted spirit yield promises of so much hexose [g/L]; (members,)."""
    return np.asarray(constants()["promised_yield"] * ETHANOL_PER_HEXOSE * hexose_g_per_L)


def fermentable_g_per_L(wort: WashWort, hours: float) -> FloatArray:
    """Hexose that the mash's figures count on [g/L], what enzymes alive make in so many hours with it; (members,).

    The same closure as the mash room's (docs/mash_simulation.md): limit dextrinase counts as done at any hours.
    """
    by_alpha = -np.expm1(-wort.alpha_exponent * hours / USUAL_FERMENT_HOURS)
    by_dextrinase = -np.expm1(-wort.dextrinase_exponent)
    split = by_alpha * wort.open_starch_g_per_L
    to_limit = _limit_share() * split
    turned = by_dextrinase * (wort.limit_dextrin_g_per_L + to_limit) + by_alpha * wort.chains_g_per_L + split - to_limit
    maltose = wort.maltose_g_per_L + MALTOSE_PER_STARCH * turned
    return np.asarray(
        wort.glucose_g_per_L + HEXOSE_PER_MALTOSE * maltose + HEXOSE_PER_MALTOTRIOSE * wort.maltotriose_g_per_L
    )


@cache
def _limit_share() -> float:
    """Share of open starch that alpha-amylase leaves as limit dextrin, the mash model's own."""
    return next(float(row["value"]) for row in csv_rows("tables/mash_two_granules.csv") if row["name"] == "limit_share")


@dataclass
class WashState:
    """What stands in a litre of the wash, (members,): g/L, or as said."""

    glucose: FloatArray
    maltose: FloatArray
    maltotriose: FloatArray
    chains: FloatArray
    limit: FloatArray
    open: FloatArray
    alive: FloatArray
    grown: FloatArray  # yeast made so far
    ethanol: FloatArray
    lactic: FloatArray
    fan: FloatArray  # mg/L
    degC: FloatArray
    idle: FloatArray  # share of the yeast that is not at work yet
    bacteria: FloatArray  # natural logarithm of the count in a millilitre


@dataclass(frozen=True)
class WashRates:
    """What a state does in an hour: shares as exponents [1/h], the rest g/L/h; (members,)."""

    glucose: FloatArray
    maltose: FloatArray
    maltotriose: FloatArray
    by_alpha: FloatArray
    by_dextrinase: FloatArray
    grows: FloatArray
    dies: FloatArray
    works: FloatArray  # idle yeast that gets to work
    taken: FloatArray  # hexose that the yeast takes
    lactic: FloatArray
    lactic_of_sugar: FloatArray  # part of it from sugar that yeast would take
    bacteria: FloatArray
    heat: Heat


@dataclass
class WashMade:
    """What has been made or gone so far, g/L of wash; (members,)."""

    hexose: FloatArray  # taken by yeast
    carbon_dioxide: FloatArray
    stripped: FloatArray  # ethanol that left with the gas
    glycerol: FloatArray
    by_products: FloatArray
    lactic_of_sugar: FloatArray
    lactic_of_dextrin: FloatArray
    water_taken_up: FloatArray
    heat_kJ: FloatArray
    cooled_kJ: FloatArray
    lost_kJ: FloatArray
    dead: FloatArray
    yeast_hours: FloatArray  # g h/L of living yeast


Pair: TypeAlias = tuple[WashState, WashMade]


class LivingWash:
    """One washback on one set of draws."""

    def __init__(self, wort: WashWort, yeast: PitchedYeast, vessel: WashVessel, draws: Draws) -> None:
        """`draws` holds columns (members,) of every prior under `wash.`."""
        self.wort, self.yeast, self.vessel, self.draws = wort, yeast, vessel, draws
        c, pace = constants(), yeast.pace * draws["wash.pace"]
        self.growth, self.uptake = c["growth_per_h"] * pace, c["uptake_per_h"] * pace
        self.most_grown = c["grown_per_pitched"] * yeast.alive_g_per_L + c["grown_by_air_g_per_L"]
        self.lowers = draws["wash.ethanol_lowers_heat_limit"]
        self.fan_per_yeast = draws["wash.fan_per_yeast_mg_per_g"]
        self.at_20 = self._felt(np.full_like(pace, 20.0))
        self.alpha = wort.alpha_exponent / c["alpha_usual_hours"]
        self.dextrinase = wort.dextrinase_exponent / c["dextrinase_usual_hours"]

    def start(self) -> Pair:
        """The wash as it is pitched."""
        wort, yeast, zero = self.wort, self.yeast, np.zeros_like(self.growth)
        everywhere = zero + 1.0
        state = WashState(
            wort.glucose_g_per_L + zero, wort.maltose_g_per_L + zero, wort.maltotriose_g_per_L + zero,
            wort.chains_g_per_L + zero, wort.limit_dextrin_g_per_L + zero, wort.open_starch_g_per_L + zero,
            yeast.alive_g_per_L + zero, zero, zero, zero, wort.fan_mg_per_L + zero, self.vessel.set_degC + zero,
            everywhere, np.log(10.0) * wort.bacteria_log10_per_mL + zero,
        )  # fmt: skip
        made = WashMade(**{field.name: zero.copy() for field in fields(WashMade)})
        made.dead = yeast.dead_g_per_L + zero
        return state, made

    def step(self, state: WashState, made: WashMade, hours: float) -> Pair:
        """One step by the rates of its middle, which half a step reaches by those of its start."""
        middle = self._half(state, self.rates(state), 0.5 * hours)
        return self._whole(state, made, self.rates(middle), hours)

    def pH(self, state: WashState) -> FloatArray:
        """PH of the wash: yeast growth takes it down, lactic acid further; (members,)."""
        end = self.draws["wash.pH_of_yeast"]
        kept = np.exp(-state.grown / constants()["pH_growth_g_per_L"])
        by_yeast = end + np.maximum(self.wort.pH - end, 0.0) * kept
        return np.asarray(by_yeast - self.draws["wash.acid_pH_per_g_per_L"] * state.lactic)

    def rates(self, now: WashState) -> WashRates:
        """What this state does in an hour."""
        c, pH = constants(), self.pH(now)
        held = 1.0 / (1.0 + now.glucose / c["glucose_holds_g_per_L"])
        by_glucose = now.glucose / (c["glucose_half_g_per_L"] + now.glucose)
        by_maltose = held * now.maltose / (c["maltose_half_g_per_L"] + now.maltose)
        by_maltotriose = held * self.yeast.takes_maltotriose * now.maltotriose
        by_maltotriose = by_maltotriose / (c["maltotriose_half_g_per_L"] + now.maltotriose)
        by_maltotriose = by_maltotriose / (1.0 + now.maltose / c["maltose_holds_g_per_L"])
        fed = 1.0 - (1.0 - by_glucose) * (1.0 - by_maltose) * (1.0 - by_maltotriose)
        at_work = self._at_work(now) * fed
        food = now.fan / (c["fan_half_mg_per_L"] + now.fan) * np.maximum(1.0 - now.grown / self.most_grown, 0.0)
        grows = self.growth * food * at_work
        taken = (grows / c["yeast_per_sugar"] + self.uptake * at_work) * now.alive
        each = taken / np.maximum(by_glucose + by_maltose + by_maltotriose, 1e-12)
        bacteria, lactic, of_sugar = self._bacteria(now, pH, taken)
        warm = np.exp(c["enzyme_per_K"] * (now.degC - 30.0))
        return WashRates(
            glucose=each * by_glucose / np.maximum(now.glucose, TINY),
            maltose=each * by_maltose / np.maximum(now.maltose, TINY) / HEXOSE_PER_MALTOSE,
            maltotriose=each * by_maltotriose / np.maximum(now.maltotriose, TINY) / HEXOSE_PER_MALTOTRIOSE,
            by_alpha=self.alpha * warm * _awake(pH, "alpha"),
            by_dextrinase=self.dextrinase * warm * _awake(pH, "dextrinase"),
            grows=grows,
            dies=self._dies(now),
            works=self._felt(now.degC) / self.at_20 / self.draws["wash.lag_h"],
            taken=taken,
            lactic=lactic,
            lactic_of_sugar=of_sugar,
            bacteria=bacteria,
            heat=self._heat(now, taken),
        )

    def _felt(self, degC: FloatArray) -> FloatArray:
        """Pace at a temperature over that at the best, 0 to 1; (members,)."""
        return cardinal(degC, self.yeast.coldest_degC, self.yeast.best_degC, self.yeast.warmest_degC)

    def _at_work(self, now: WashState) -> FloatArray:
        """Pace of the yeast by heat, ethanol and how much of it is at work, 0 to 1; (members,)."""
        # Ethanol makes a warm wash warmer to the yeast; a cool one it does not.
        above = 1.0 / (1.0 + np.exp(self.yeast.best_degC - 1.0 - now.degC))
        felt = self._felt(now.degC + self.lowers * now.ethanol * above)
        share = np.minimum(now.ethanol / self.yeast.ethanol_limit_g_per_L, 1.0)
        return np.asarray(felt * (1.0 - now.idle) * (1.0 - share ** constants()["ethanol_inhibits_power"]))

    def _nitrogen(self, fan_mg_per_L: FloatArray) -> FloatArray:
        """Amino nitrogen in a gram of yeast [mg/g]: yeast that finds little is built with less; (members,)."""
        c = constants()
        rich = fan_mg_per_L / (fan_mg_per_L + c["fan_scarce_mg_per_L"])
        return np.asarray(self.fan_per_yeast * (c["poor_yeast"] + (1.0 - c["poor_yeast"]) * rich))

    def _dies(self, now: WashState) -> FloatArray:
        energy = constants()["death_kJ_per_mol"] / GAS_CONSTANT
        by_heat = np.exp(energy * (1.0 / 313.15 - 1.0 / (now.degC + 273.15)))
        by_ethanol = np.exp(now.ethanol / self.draws["wash.death_ethanol_g_per_L"])
        return np.asarray(self.draws["wash.death_at_40_per_h"] * by_heat * by_ethanol)

    def _heat(self, now: WashState, taken: FloatArray) -> Heat:
        """Heat made, less what the gas carries off as vapour, and the ways it goes [kJ/L/h, 1/h]; (members,)."""
        c, vessel = constants(), self.vessel
        gas = (1.0 - ETHANOL_PER_HEXOSE) * taken * c["water_in_gas_g_per_g"] * c["vapour_kJ_per_g"]
        gas = gas * np.exp(c["vapour_per_K"] * (now.degC - 30.0))
        per_L = 3.6 / vessel.filled_L
        return Heat(
            self.draws["wash.heat_kJ_per_g"] * taken, gas, per_L * vessel.wall_W_per_K, per_L * vessel.cooling_W_per_K
        )

    def _bacteria(self, now: WashState, pH: FloatArray, taken: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Growth of lactic bacteria [1/h], lactic acid, and its part from sugar [g/L/h]; (members,)."""
        c = constants()
        count = np.exp(np.minimum(now.bacteria, 30.0))
        awake = cardinal(now.degC, *(c[f"bacteria_{end}_degC"] for end in ("coldest", "best", "warmest")))
        awake = awake * np.clip((pH - c["bacteria_pH_none"]) / 0.9, 0.0, 1.0)
        growth = self.draws["wash.bacteria_growth_per_h"] * awake / (1.0 + taken / c["bacteria_held_by_g_per_L_h"])
        growth = growth * np.maximum(1.0 - count / c["bacteria_most_per_mL"], 0.0)
        sugar = now.glucose + now.maltose + now.maltotriose
        food = sugar + 0.3 * (now.chains + now.limit)
        lactic = c["lactic_per_cell_g_h"] * 1000.0 * count * awake * food / (5.0 + food)
        return growth, lactic, lactic * sugar / np.maximum(food, TINY)

    def _half(self, now: WashState, rate: WashRates, hours: float) -> WashState:
        """The state after half a step by the rates of its start, near enough to take the rates of the middle from."""
        left, share = _limit_share(), -np.expm1(-rate.by_alpha * hours)
        split = share * now.open
        of_limit = -np.expm1(-rate.by_dextrinase * hours) * now.limit
        made = MALTOSE_PER_STARCH * (share * now.chains + (1.0 - left) * split + of_limit)
        grown = now.alive * np.expm1(rate.grows * hours)
        return WashState(
            now.glucose * np.exp(-rate.glucose * hours),
            now.maltose * np.exp(-rate.maltose * hours) + made,
            now.maltotriose * np.exp(-rate.maltotriose * hours),
            (1.0 - share) * now.chains,
            now.limit + left * split - of_limit,
            now.open - split,
            now.alive * np.exp((rate.grows - rate.dies) * hours),
            now.grown + grown,
            now.ethanol + 0.9 * ETHANOL_PER_HEXOSE * rate.taken * hours,
            now.lactic + rate.lactic * hours,
            np.maximum(now.fan - self._nitrogen(now.fan) * grown, 0.0),
            self._warmer(now.degC, rate.heat, hours)[0],
            now.idle * np.exp(-rate.works * hours),
            now.bacteria + rate.bacteria * hours,
        )

    def _warmer(self, degC: FloatArray, heat: Heat, hours: float) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Temperature after so many hours, and heat lost through the wall and to the cooling [kJ/L]; (members,)."""
        holds = constants()["wash_kJ_per_L_K"]
        warm, lost = warmed(degC, self.vessel.room_degC, heat, hours, holds)
        vessel = self.vessel
        cold = cooled(warm, vessel.cooled_from_degC, vessel.water_degC, heat, hours, holds)
        return cold, lost, holds * (warm - cold)

    def _whole(self, now: WashState, made: WashMade, rate: WashRates, hours: float) -> Pair:
        """The state after a step, everything in it accounted for."""
        c, left = constants(), _limit_share()
        share = -np.expm1(-rate.by_alpha * hours)
        split, of_chains = share * now.open, share * now.chains
        of_limit = -np.expm1(-rate.by_dextrinase * hours) * (now.limit + 0.5 * left * split)
        turned = of_chains + (1.0 - left) * split + of_limit
        glucose, maltotriose = (
            x * -np.expm1(-k * hours) for x, k in ((now.glucose, rate.glucose), (now.maltotriose, rate.maltotriose))
        )
        came = MALTOSE_PER_STARCH * turned
        exponent = rate.maltose * hours
        maltose_left = now.maltose * np.exp(-exponent) + came * mean_kept(exponent)
        maltose = now.maltose + came - maltose_left
        hexose = glucose + HEXOSE_PER_MALTOSE * maltose + HEXOSE_PER_MALTOTRIOSE * maltotriose
        acid_of_sugar = np.minimum(rate.lactic_of_sugar * hours, 0.9 * hexose)
        fed = hexose - acid_of_sugar
        dextrin = now.chains - of_chains + now.limit + left * split - of_limit
        acid_of_dextrin = np.minimum((rate.lactic - rate.lactic_of_sugar) * hours, 0.5 * GLUCOSE / STARCH * dextrin)
        eaten = acid_of_dextrin * STARCH / GLUCOSE / np.maximum(dextrin, TINY)
        grown = np.minimum(now.alive * np.expm1(rate.grows * hours), 0.25 * fed)
        glycerol = self.draws["wash.glycerol_share"] * fed + c["growth_in_glycerol"] * grown
        others = self.draws["wash.by_products"] * fed
        fermented = fed - grown - glycerol - others
        ethanol = ETHANOL_PER_HEXOSE * fermented
        gas = fermented - ethanol
        carries = self.draws["wash.stripped"] * c["ethanol_in_gas_L_per_g"]
        stripped = gas * now.ethanol * carries * np.exp(c["vapour_per_K"] * (now.degC - 30.0))
        dead = (now.alive + grown) * -np.expm1(-rate.dies * hours)
        degC, lost, taken_out = self._warmer(now.degC, rate.heat, hours)
        state = WashState(
            now.glucose - glucose, maltose_left, now.maltotriose - maltotriose,
            (now.chains - of_chains) * (1.0 - eaten), (now.limit + left * split - of_limit) * (1.0 - eaten),
            now.open - split, now.alive + grown - dead, now.grown + grown, now.ethanol + ethanol - stripped,
            now.lactic + acid_of_sugar + acid_of_dextrin, np.maximum(now.fan - self._nitrogen(now.fan) * grown, 0.0),
            degC, now.idle * np.exp(-rate.works * hours), now.bacteria + rate.bacteria * hours,
        )  # fmt: skip
        water = came - turned + (HEXOSE_PER_MALTOSE - 1.0) * maltose + (HEXOSE_PER_MALTOTRIOSE - 1.0) * maltotriose
        water = water + acid_of_dextrin * (1.0 - STARCH / GLUCOSE)
        gone = (
            fed, gas, stripped, glycerol, others, acid_of_sugar, acid_of_dextrin, water, rate.heat.made * hours,
            taken_out, lost + rate.heat.with_gas * hours, dead, hours * now.alive,
        )  # fmt: skip
        return state, WashMade(*(getattr(made, f.name) + x for f, x in zip(fields(WashMade), gone, strict=True)))


def _awake(pH: FloatArray, enzyme: str) -> FloatArray:
    """Pace of an enzyme at a pH over its whole pace, 0 to 1; (members,)."""
    c = constants()
    return np.asarray(np.clip((pH - c[f"{enzyme}_pH_none"]) / c["enzyme_pH_full_above"], 0.0, 1.0))
