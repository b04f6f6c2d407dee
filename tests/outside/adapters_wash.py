"""Fermentations of the published models and of the simulated wash as calls that give one number."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from gristwright.basics import FloatArray, Refused
from gristwright.numerics.draws import middles
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.records.wash import PitchedYeast, WashCourse, WashVessel, WashWort
from gristwright.records.washbacks import Washbacks
from gristwright.reference import priors
from gristwright.stages.wash import andres_toro1998, gee_ramirez1994
from gristwright.stages.wash.furfural import furfural_left
from gristwright.stages.wash.living_wash import ETHANOL_PER_HEXOSE, HEXOSE_PER_MALTOSE, fermentable_g_per_L
from gristwright.stages.wash.setting import pitched
from gristwright.stages.wash.simulation import ferment

DATA = Path(__file__).resolve().parent / "data"
GAS_KCAL, ZERO_DEGC_K = 1.987e-3, 273.15
# Start of the published course: glucose, maltose, maltotriose [mol/m3].
LAGER_MOL_per_m3 = (70.0, 220.0, 40.0)
LAGER_HOURS, FITTED_TO_H, LAST_FURFURAL_H = 168.0, 7.5, 13.0


def table(name: str) -> dict[str, FloatArray]:
    """The columns of a file of data."""
    with (DATA / name).open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    return {key: np.array([float(row[key]) for row in rows]) for key in rows[0]}


def lager_g_per_L() -> FloatArray:
    """Sugars of the published lager wort [g/L]."""
    masses = [mass for _, mass in gee_ramirez1994.SUGARS]
    return np.array([moles * mass / 1000.0 for moles, mass in zip(LAGER_MOL_per_m3, masses, strict=True)])


@cache
def _lager() -> gee_ramirez1994.GeeRamirezCourse:
    return gee_ramirez1994.ferment(lager_g_per_L(), hours=LAGER_HOURS, record_h=24.0)


def lager(what: str, hour: float) -> float:
    """Ethanol [g/L], yeast or maltose [mol/m3], or a flavour [mg/L] of the published lager course."""
    course = _lager()
    there = int(np.flatnonzero(course.times_h == hour)[0])
    if what in course.flavours_mg_per_L:
        return float(course.flavours_mg_per_L[what][there, 0])
    per_mol = {
        "ethanol_g_per_L": 1.0,
        "yeast_g_per_L": gee_ramirez1994.constants()["yeast_g_per_mol"],
        "maltose_g_per_L": dict(gee_ramirez1994.SUGARS)["maltose"],
    }[what]
    return float(getattr(course, what)[there, 0]) * (1.0 if per_mol == 1.0 else 1000.0 / per_mol)


def by_temperature(degC: float) -> dict[str, float]:
    """The constants of the later set at a temperature, the rest as in the set of 10.5 degC."""
    with (DATA / "gee_ramirez_by_temperature.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    per_RT = 1.0 / (GAS_KCAL * (degC + ZERO_DEGC_K))
    own = {row["name"]: float(np.exp(float(row["a"]) - float(row["Ea_kcal_per_mol"]) * per_RT)) for row in rows}
    return {**gee_ramirez1994.constants(), **own}


def by_temperature_constant(name: str, degC: float) -> float:
    """One of those constants."""
    return by_temperature(degC)[name]


def by_temperature_hours(degC: float, attenuated: float) -> float:
    """Hours in which the published lager wort is so far attenuated by the later set."""
    hours = [float(hour) for hour in range(401)]
    start = np.array(LAGER_MOL_per_m3)[:, None]
    course = gee_ramirez1994.course_of(start, np.array([125.0]), hours, 0.5, by_temperature(degC))
    left = (course.glucose_g_per_L + course.maltose_g_per_L + course.maltotriose_g_per_L)[:, 0]
    return float(np.interp(attenuated, 1.0 - left / left[0], hours))


def beer(what: str, hour: float, degC: float = 13.0) -> float:
    """Sugar or ethanol [g/L] of the published beer course: 130 g/L, yeast 2 lagging and 2 settling."""
    course = andres_toro1998.ferment(130.0, degC, hours=hour)
    return float(getattr(course, what)[-1, 0])


def beer_unguarded_sugar(degC: float, hour: float) -> float:
    """Sugar left [g/L] by the same equations where the model is refused."""
    plan = [andres_toro1998.CoolingCorner(0.0, degC)]
    yeast = andres_toro1998.AndresToroYeast()
    return float(andres_toro1998.course_of(130.0, yeast, plan, [0.0, hour], 0.01).sugar_g_per_L[-1, 0])


def beer_refused(degC: float) -> int:
    """1 when the model refuses the temperature."""
    try:
        andres_toro1998.ferment(130.0, degC)
    except Refused:
        return 1
    return 0


# ------------------------------------------------------------------ the simulated wash


def wort(degP: float = 13.0, **sugars: float) -> WashWort:
    """A boiled wort of these sugars and nothing alive in it."""
    known = {name: np.array([value]) for name, value in sugars.items()}
    plain = {name: np.array([0.0]) for name in WashWort.__dataclass_fields__}
    plain |= {"fan_mg_per_L": np.array([200.0]), "pH": np.array([5.2])}
    return WashWort(**(plain | {"original_gravity_degP": np.array([degP])} | known))


@cache
def _unlost(heat_kJ_per_g: float) -> WashCourse:
    """13 degP set at 15 degC in a washback that loses no heat through its wall and is not cooled."""
    one = np.array([1.0])
    draws = {**middles(priors("wash")), "wash.heat_kJ_per_g": heat_kJ_per_g * one}
    yeast = PitchedYeast(0.5 * one, 0.0 * one, one, 110.0 * one, 2.8 * one, 32.3 * one, 45.4 * one, one)
    back = WashVessel(1e4 * one, 72.0, 15.0 * one, 15.0 * one, 0.0 * one, 0.0 * one, 15.0 * one, 99.0 * one)
    sugars = wort(13.0, glucose_g_per_L=15.0, maltose_g_per_L=82.0, maltotriose_g_per_L=20.0)
    return ferment(sugars, yeast, back, draws)


def rise_K(heat_kJ_per_g: float, degP: float, attenuation_pct: float) -> float:
    """Rise of a wash that loses no heat [K], for so much extract fermented, by that of our own simulated wash."""
    course = _unlost(heat_kJ_per_g)
    rise = float(course.degC[-1, 0] - course.degC[0, 0])
    sugars = 15.0 + 82.0 + 20.0 - float(course.end.sugar_left_g_per_L[0])
    extract_g_per_L = degP * 10.0 * 1.0526  # SG of 13 degP
    return rise * extract_g_per_L * attenuation_pct / 100.0 / sugars


def gas_kg_per_lpa() -> float:
    """Carbon dioxide for a litre of alcohol made [kg] in our own simulated wash."""
    end = _unlost(0.6).end
    alcohol = float((end.ethanol_g_per_L + end.stripped_g_per_L)[0])
    return float(end.co2_kg_per_m3[0]) / alcohol * ETHANOL_20C_kg_m3 / 1000.0


def mass_unaccounted() -> float:
    """Share of the mass that our own simulated wash does not find again."""
    return _unlost(0.6).balance_error


def theoretical_abv_pct(composition_g_per_100mL: dict[str, float], dextrin: bool) -> float:
    """Alcohol by theory [%vol] of a mash of this composition, with or without all of its dextrin."""
    c = {name: 10.0 * value for name, value in composition_g_per_100mL.items()}
    hexose = c["fructose"] + c["glucose"] + HEXOSE_PER_MALTOSE * c["sucrose"]
    sugars = {"glucose_g_per_L": hexose, "maltose_g_per_L": c["maltose"], "maltotriose_g_per_L": c["maltotriose"]}
    whole = {"chains_g_per_L": c["maltotetraose"] + c["dextrin"], "alpha_exponent": 50.0} if dextrin else {}
    fermentable = fermentable_g_per_L(wort(**sugars, **whole), 72.0)
    return float(ETHANOL_PER_HEXOSE * fermentable[0] * 100.0 / ETHANOL_20C_kg_m3)


# ------------------------------------------------------------------ agave juice, predicted


@cache
def _agave() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Hours, share of the sugar gone and alcohol made [g/L] of agave juice held at 28 degC, in our own simulated wash.

    1e8 cells/mL, all alive. Amino nitrogen is not in the data: agave juice has little, 30 mg/L from memory.
    """
    one, draws = np.array([1.0]), middles(priors("wash"))
    back = WashVessel(one, 72.0, 28.0 * one, 28.0 * one, 1e3 * one, 0.0 * one, 28.0 * one, 99.0 * one)
    house = Washbacks(
        1, 1000.0, 72.0, 28.0, "none", yeast="distilling", pitch_million_per_mL=100.0, viability_pct=100.0
    )
    data = table("agave_wash.csv")
    start = data["hours"] == 0.0
    juice = wort(12.0, glucose_g_per_L=float((data["glucose_g_per_L"] + data["fructose_g_per_L"])[start].mean()))
    juice = replace(juice, fan_mg_per_L=30.0 * one, pH=5.0 * one)
    course = ferment(juice, pitched(house, draws, False), back, draws)
    sugar = course.sugar_g_per_L[:, 0]
    alcohol = course.abv_pct[:, 0] * ETHANOL_20C_kg_m3 / 100.0 + float(data["ethanol_g_per_L"][start].mean())
    return course.times_h, 1.0 - sugar / sugar[0], alcohol


def agave_hours(part: float) -> float:
    """Hours in which so much of the sugar goes."""
    hours, gone, _ = _agave()
    return float(np.interp(part, gone, hours))


def agave_abv_pct(hour: float) -> float:
    """Alcohol at an hour [%vol], with what the juice held when it was pitched."""
    hours, _, alcohol = _agave()
    return float(np.interp(hour, hours, alcohol)) * 100.0 / ETHANOL_20C_kg_m3


# ------------------------------------------------------------------ furfural


@cache
def _furfural() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Hours, share left, and hours times living yeast for each unit pitched, yeast growing as the ethanol does."""
    data = table("furfural_taken_up.csv")
    hours, ethanol = data["hours"], data["ethanol_g_per_L"]
    there = (ethanol > 0.0) & (hours < LAST_FURFURAL_H)
    growth = float(np.polyfit(hours[there], np.log(ethanol[there]), 1)[0])
    return hours, data["furfural_g_per_L"] / data["furfural_g_per_L"][0], np.expm1(growth * hours) / growth


def furfural_shares(grows: bool) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Hours, share left as measured, and as told by a pace fitted to the first 7.5 h; 34 points."""
    hours, left, worked = _furfural()
    worked = worked if grows else hours
    early = (hours > 0.0) & (hours < FITTED_TO_H)
    pace = -float(worked[early] @ np.log(left[early])) / float(worked[early] @ worked[early])
    return hours, left, furfural_left(worked, pace)


def furfural_share(hour: float, grows: bool) -> float:
    """Share left at a measured hour by that pace, of yeast that grows with its ethanol or stays as pitched."""
    hours, _, told = furfural_shares(grows)
    return float(told[int(np.argmin(np.abs(hours - hour)))])


def loss_per_h(hours: Sequence[float]) -> float:
    """First-order loss of furfural [1/h] between two measured hours."""
    times, left, _ = _furfural()
    first, last = (int(np.argmin(np.abs(times - hour))) for hour in hours)
    return float(np.log(left[first] / left[last]) / (times[last] - times[first]))
