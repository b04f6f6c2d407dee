"""Named model `gee_ramirez1994`: a lager fermentation at 10.5 degC, with its flavour, as published. See docs/wash.md.

Gee & Ramirez 1994, J. Inst. Brew. 100, 321-329, growth and flavour; the growth after Gee & Ramirez 1988, Biotechnol.
Bioeng. 31, 224, in the structure of Engasser. Isothermal: the constants hold at one temperature. Inside, amounts are
mol/m3 as in the paper; what goes in and comes out is grams.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import FloatArray, Problem, Refused, at
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.reference import csv_rows
from gristwright.stages.wash.living_wash import GLUCOSE, MALTOSE, MALTOTRIOSE
from gristwright.stages.wash.published import (
    ELSEWHERE,
    RECORD_H,
    STEP_H,
    followed,
    range_problems,
    step_problems,
    times,
)

NAME, YEAST = "gee_ramirez1994", "lager"
WHERE = at("plant", "washbacks")
SUGARS = (("glucose", GLUCOSE), ("maltose", MALTOSE), ("maltotriose", MALTOTRIOSE))
ETHANOL, CARBON_DIOXIDE = 46.068, 44.010  # g/mol
AMINO_ACIDS = ("leucine", "isoleucine", "valine")
FLAVOURS = {
    "isobutanol": 74.12,
    "isoamyl_alcohol": 88.15,
    "methylbutanol": 88.15,
    "propanol": 60.10,
    "ethyl_acetate": 88.11,
    "ethyl_caproate": 144.21,
    "isoamyl_acetate": 130.19,
    "diketones": 86.09,  # as diacetyl
    "acetaldehyde": 44.05,
}  # g/mol


@cache
def constants() -> Mapping[str, float]:
    """The published constants by name."""
    return {row["name"]: float(row["value"]) for row in csv_rows("tables/wash_gee_ramirez1994.csv")}


@dataclass(frozen=True)
class GeeRamirezCourse:
    """A lager fermentation at 10.5 degC. `times_h` (times,); the rest (times, members)."""

    times_h: FloatArray
    glucose_g_per_L: FloatArray
    maltose_g_per_L: FloatArray
    maltotriose_g_per_L: FloatArray
    yeast_g_per_L: FloatArray  # dry matter; none dies in this model
    ethanol_g_per_L: FloatArray
    co2_g_per_L: FloatArray
    heat_MJ_per_m3: FloatArray  # given off so far
    flavours_mg_per_L: Mapping[str, FloatArray]  # by the names of FLAVOURS

    @property
    def abv_pct(self) -> FloatArray:
        """Alcohol [%vol]."""
        return np.asarray(self.ethanol_g_per_L * 100.0 / ETHANOL_20C_kg_m3)


def limits(
    sugars_g_per_L: ArrayLike, yeast_g_per_L: ArrayLike, degC: ArrayLike, hours: float, yeast: str = YEAST
) -> list[Problem]:
    """Every fault of a fermentation for this model; `sugars_g_per_L` (3, members): glucose, maltose, maltotriose."""
    c, sugars = constants(), np.asarray(sugars_g_per_L, dtype=float)
    problems = []
    if yeast != YEAST:
        what = f"{yeast} yeast is not what {NAME} was measured on, which is {YEAST} yeast."
        problems.append(Problem(WHERE.to("yeast"), what, f"Pitch lager yeast, {ELSEWHERE}."))
    problems += _temperature_problems(degC)
    whole, way_out = (c["sugar_least"], c["sugar_most"]), f"Take a wort of usual strength, {ELSEWHERE}."
    problems += range_problems(WHERE.to("fermentable sugar"), sugars.sum(axis=0), whole, "g/L", way_out)
    for (name, _), amount in zip(SUGARS, sugars, strict=True):
        problems += range_problems(WHERE.to(name), amount, (0.0, c["sugar_most"]), "g/L", way_out)
    pitch = (c["yeast_least"], c["yeast_most"])
    problems += range_problems(WHERE.to("pitch"), yeast_g_per_L, pitch, "g/L", f"Pitch as a lager, {ELSEWHERE}.")
    return problems + range_problems(WHERE.to("hours"), hours, (0.0, c["hours_most"]), "h", f"Give fewer, {ELSEWHERE}.")


def _temperature_problems(degC: ArrayLike) -> list[Problem]:
    only, given = constants()["degC"], np.ravel(np.asarray(degC, dtype=float))
    wrong = [float(x) for x in given if not abs(x - only) <= 1e-9]
    if not wrong:
        return []
    found = f"{wrong[0]:g} degC" if wrong[0] == wrong[0] else "the temperature"
    what = f"{found} is not {only:g} degC, the one temperature that the constants of {NAME} hold at."
    return [Problem(WHERE.to("set_degC"), what, f"Ferment at {only:g} degC, {ELSEWHERE}.")]


def ferment(
    sugars_g_per_L: ArrayLike,
    yeast_g_per_L: ArrayLike | None = None,
    degC: ArrayLike = 10.5,
    hours: float = 168.0,
    yeast: str = YEAST,
    step_h: float = STEP_H,
    record_h: float = RECORD_H,
) -> GeeRamirezCourse:
    """One lager fermentation for every member; sugars (3, members) or (3,), the rest (members,) or one number.

    Without `yeast_g_per_L` it is pitched as published. Raises Refused outside what the model was made for.
    """
    c = constants()
    pitched = c["yeast_at_pitch"] * c["yeast_g_per_mol"] / 1000.0 if yeast_g_per_L is None else yeast_g_per_L
    problems = limits(sugars_g_per_L, pitched, degC, hours, yeast) + step_problems(WHERE, step_h, record_h)
    if problems:
        raise Refused(problems)
    glucose, maltose, maltotriose, dry = np.broadcast_arrays(
        *np.asarray(sugars_g_per_L, dtype=float), np.atleast_1d(np.asarray(pitched, dtype=float))
    )
    sugars = [1000.0 * x / mass for x, (_, mass) in zip((glucose, maltose, maltotriose), SUGARS, strict=True)]
    return course_of(np.array(sugars), 1000.0 * dry / c["yeast_g_per_mol"], times(hours, record_h), step_h, c)


def course_of(
    sugars: FloatArray, yeast: FloatArray, times_h: list[float], step_h: float, c: Mapping[str, float]
) -> GeeRamirezCourse:
    """The course by any constants, none of its limits looked at; sugars (3, members) and yeast (members,) [mol/m3]."""
    start = np.zeros((9, yeast.size))
    start[:3], start[3] = sugars, yeast
    start[4:7] = np.array([[c[name]] for name in AMINO_ACIDS])

    def rate(hour: float, y: FloatArray) -> FloatArray:
        return _rates(hour, y, start[3], c)

    y = np.maximum(followed(rate, start, times_h, step_h), 0.0)
    rows = [*(name for name, _ in SUGARS), "yeast", *AMINO_ACIDS]
    used = {name: y[0, row] - y[:, row] for row, name in enumerate(rows) if name != "yeast"}

    def made(what: str) -> FloatArray:
        return np.asarray(sum(c[f"{what}_{name}"] * used[name] for name, _ in SUGARS))

    glucose, maltose, maltotriose = (y[:, row] * mass / 1000.0 for row, (_, mass) in enumerate(SUGARS))
    return GeeRamirezCourse(
        np.array(times_h),
        glucose,
        maltose,
        maltotriose,
        y[:, 3] * c["yeast_g_per_mol"] / 1000.0,
        made("ethanol") * ETHANOL / 1000.0,
        made("gas") * CARBON_DIOXIDE / 1000.0,
        made("heat") / 1000.0,
        _flavours(used, y[:, 3] - y[0, 3], y[:, 7:], c),
    )


def uptake(sugars: FloatArray, c: Mapping[str, float]) -> FloatArray:
    """Uptake of glucose, maltose and maltotriose by yeast [mol/mol/h], in order; shape of `sugars` [mol/m3]."""
    glucose, maltose, maltotriose = np.maximum(sugars, 0.0)
    by_glucose = c["glucose_holds"] / (c["glucose_holds"] + glucose)
    by_maltose = c["maltose_holds"] / (c["maltose_holds"] + maltose)
    return np.array(
        [
            c["glucose_per_h"] * glucose / (c["glucose_half"] + glucose),
            c["maltose_per_h"] * maltose / (c["maltose_half"] + maltose) * by_glucose,
            c["maltotriose_per_h"] * maltotriose / (c["maltotriose_half"] + maltotriose) * by_glucose * by_maltose,
        ]
    )


def _rates(hour: float, y: FloatArray, pitched: FloatArray, c: Mapping[str, float]) -> FloatArray:
    """Change of the state in an hour: sugars, yeast, amino acids, diketones, acetaldehyde [mol/m3]."""
    each = uptake(y[:3], c)
    room = c["crowding"] / (c["crowding"] + (y[3] - pitched) ** 2)
    grows = sum(c[f"growth_{name}"] * x for (name, _), x in zip(SUGARS, each, strict=True)) * room * y[3]
    begun = -np.expm1(-hour / c["amino_lag_h"])
    rate = np.empty_like(y)
    rate[:3], rate[3] = -each * y[3], grows
    for row, name in enumerate(AMINO_ACIDS, 4):
        left = np.maximum(y[row], 0.0)
        rate[row] = -c[f"{name}_per_growth"] * grows * left / (c[f"{name}_half"] + left) * begun
    rate[7] = c["diketones_of_growth"] * grows - c["diketones_taken"] * y[7] * y[3]
    rate[8] = c["acetaldehyde_of_sugar"] * each.sum(axis=0) * y[3] - c["acetaldehyde_taken"] * y[8] * y[3]
    return rate


def _flavours(
    used: Mapping[str, FloatArray], grown: FloatArray, afloat: FloatArray, c: Mapping[str, float]
) -> dict[str, FloatArray]:
    """What it makes besides [mg/L] from what was used, grown, and of diketones and acetaldehyde is afloat [mol/m3]."""
    isoamyl = c["isoamyl_of_leucine"] * used["leucine"]
    moles = {
        "isobutanol": c["alcohol_at_pitch"] + c["isobutanol_of_valine"] * used["valine"],
        "isoamyl_alcohol": c["alcohol_at_pitch"] + isoamyl,
        "methylbutanol": c["methylbutanol_of_isoleucine"] * used["isoleucine"],
        "propanol": c["propanol_of_both"] * (used["valine"] + used["isoleucine"]),
        "ethyl_acetate": c["ethyl_acetate_of_sugar"] * sum(used[name] for name, _ in SUGARS),
        "ethyl_caproate": c["ethyl_caproate_of_growth"] * grown,
        "isoamyl_acetate": c["isoamyl_acetate_of_isoamyl"] * isoamyl,
        "diketones": afloat[:, 0],
        "acetaldehyde": afloat[:, 1],
    }
    return {name: np.asarray(moles[name] * mass) for name, mass in FLAVOURS.items()}
