"""Named model `andres_toro1998`: a beer fermentation at 8 to 16 degC, as published. See docs/wash.md.

de Andres-Toro et al. 1998, Math. Comput. Simul. 48, 65-74: yeast that lags, works and settles, one sugar, ethanol,
diacetyl and ethyl acetate; every constant is exp(a + b/T). It is refused above 16 degC, where its equations kill the
yeast within the hour: it is not for a distiller's wash.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from gristwright.basics import FloatArray, Problem, Refused, at
from gristwright.quantities.gravity import ETHANOL_20C_kg_m3
from gristwright.reference import csv_rows, toml_table
from gristwright.stages.wash.published import (
    ELSEWHERE,
    RECORD_H,
    STEP_H,
    followed,
    range_problems,
    step_problems,
    times,
)

NAME = "andres_toro1998"
WHERE = at("plant", "washbacks")
ZERO_DEGC_K = 273.15
LAGGING, WORKING, SETTLING, SUGAR, ALCOHOL, DIACETYL, ESTER = range(7)


@dataclass(frozen=True)
class AndresToroCourse:
    """A beer fermentation at 8 to 16 degC. `times_h` (times,); the rest (times, members)."""

    times_h: FloatArray
    degC: FloatArray
    lag_yeast_g_per_L: FloatArray
    active_yeast_g_per_L: FloatArray
    settling_yeast_g_per_L: FloatArray  # dead or asleep, still afloat
    sugar_g_per_L: FloatArray
    ethanol_g_per_L: FloatArray
    diacetyl: FloatArray  # the texts seen give no unit; mg/L by its size
    ethyl_acetate: FloatArray  # the same

    @property
    def abv_pct(self) -> FloatArray:
        """Alcohol [%vol]."""
        return np.asarray(self.ethanol_g_per_L * 100.0 / ETHANOL_20C_kg_m3)


@dataclass(frozen=True)
class AndresToroYeast:
    """Yeast at the start [g/L]; arrays (members,) or numbers. Usual values of the texts: 2, 0 and 2."""

    lagging_g_per_L: ArrayLike = 2.0
    active_g_per_L: ArrayLike = 0.0
    settling_g_per_L: ArrayLike = 2.0


@dataclass(frozen=True)
class CoolingCorner:
    """A corner of a temperature plan: straight lines between corners, level beyond the first and the last."""

    hour: float
    degC: ArrayLike


@cache
def _head() -> dict[str, Any]:
    return toml_table("tables/wash_andres_toro1998.toml")


@cache
def _exponents() -> dict[str, tuple[float, float]]:
    return {row["name"]: (float(row["a"]), float(row["b"])) for row in csv_rows("tables/wash_andres_toro1998.csv")}


def allowed(what: str) -> tuple[float, float]:
    """The range of `degC`, `sugar_g_per_L`, `yeast_g_per_L` or `hours` the model is run in."""
    low, high = _head()["range"][what]
    return float(low), float(high)


def constant(name: str, degC: ArrayLike) -> FloatArray:
    """A constant at a temperature, exp(a + b/T), in the unit of its table; any shape."""
    a, b = _exponents()[name]
    return np.asarray(np.exp(a + b / (np.asarray(degC, dtype=float) + ZERO_DEGC_K)))


def limits(
    sugar_g_per_L: ArrayLike, yeast: AndresToroYeast, plan: Sequence[CoolingCorner], hours: float
) -> list[Problem]:
    """Every fault of a fermentation for this model: temperatures, order of hours, sugar, yeast, length."""
    low, high = allowed("degC")
    problems = _plan_problems(plan)
    way_out = f"{NAME} knows nothing else: ferment at {low:g}-{high:g} degC, {ELSEWHERE}."
    for number, corner in enumerate(plan, 1):
        name = "set_degC" if len(plan) == 1 else f"degC of corner {number}"
        problems += range_problems(WHERE.to(name), corner.degC, (low, high), "degC", way_out)
    way_out = f"Take a wort of usual strength, {ELSEWHERE}."
    problems += range_problems(WHERE.to("fermentable sugar"), sugar_g_per_L, allowed("sugar_g_per_L"), "g/L", way_out)
    parts = [np.asarray(x, dtype=float) for x in vars(yeast).values()]
    way_out = f"Pitch as a beer, {ELSEWHERE}."
    least, most = allowed("yeast_g_per_L")
    problems += range_problems(WHERE.to("pitch"), parts[0] + parts[1], (least, most), "g/L that live", way_out)
    for name, part in zip(vars(yeast), parts, strict=True):
        problems += range_problems(WHERE.to("pitch", name), part, (0.0, most), "g/L", way_out)
    return problems + range_problems(WHERE.to("hours"), hours, allowed("hours"), "h", f"Give fewer, {ELSEWHERE}.")


def _plan_problems(plan: Sequence[CoolingCorner]) -> list[Problem]:
    where = WHERE.to("temperature plan")
    if not plan:
        return [Problem(where, "no temperature is given.", "Give one corner, or several in the order of the clock.")]
    hours = [corner.hour for corner in plan]
    if any(not after > before for before, after in pairwise(hours)):
        said = ", ".join(f"{hour:g}" for hour in hours)
        return [Problem(where, f"its hours do not rise: {said}.", "Put the corners in the order of the clock.")]
    return []


def ferment(
    sugar_g_per_L: ArrayLike,
    degC: ArrayLike | Sequence[CoolingCorner],
    hours: float = 168.0,
    yeast: AndresToroYeast | None = None,
    esters_by_sugar: bool = False,
    step_h: float = STEP_H,
    record_h: float = RECORD_H,
) -> AndresToroCourse:
    """One beer fermentation for every member, at one temperature or by a plan; arrays (members,) or numbers.

    `esters_by_sugar` ties ethyl acetate to the sugar taken, as an earlier form of the model does, and not to growth.
    Raises Refused outside what the model was made for.
    """
    plan = _plan(degC)
    yeast = yeast or AndresToroYeast()
    problems = limits(sugar_g_per_L, yeast, plan, hours) + step_problems(WHERE, step_h, record_h)
    if problems:
        raise Refused(problems)
    return course_of(
        sugar_g_per_L, yeast, plan, times(hours, record_h, (c.hour for c in plan)), step_h, esters_by_sugar
    )


def _plan(degC: ArrayLike | Sequence[CoolingCorner]) -> tuple[CoolingCorner, ...]:
    if isinstance(degC, Sequence) and all(isinstance(corner, CoolingCorner) for corner in degC):
        return tuple(degC)
    return (CoolingCorner(0.0, degC),)  # type: ignore[arg-type]


def course_of(
    sugar_g_per_L: ArrayLike,
    yeast: AndresToroYeast,
    plan: Sequence[CoolingCorner],
    times_h: list[float],
    step_h: float,
    esters_by_sugar: bool = False,
) -> AndresToroCourse:
    """The course by the published equations, none of their limits looked at; arguments as `ferment`."""
    lagging, active, settling, sugar, *degrees = np.broadcast_arrays(
        np.atleast_1d(np.asarray(yeast.lagging_g_per_L, dtype=float)),
        *(np.asarray(x, dtype=float) for x in (yeast.active_g_per_L, yeast.settling_g_per_L, sugar_g_per_L)),
        *(np.asarray(corner.degC, dtype=float) for corner in plan),
    )
    start = np.zeros((7, lagging.size))
    start[LAGGING], start[WORKING], start[SETTLING], start[SUGAR] = lagging, active, settling, sugar
    half = 0.5 * sugar

    def rate(hour: float, y: FloatArray) -> FloatArray:
        return _rates(y, _degC_at(hour, plan, degrees), half, esters_by_sugar)

    y = np.maximum(followed(rate, start, times_h, step_h), 0.0)
    warm = np.array([_degC_at(hour, plan, degrees) for hour in times_h])
    return AndresToroCourse(np.array(times_h), warm, *(y[:, row] for row in range(7)))


def _degC_at(hour: float, plan: Sequence[CoolingCorner], degrees: Sequence[FloatArray]) -> FloatArray:
    """Temperature of every member at an hour [degC], (members,)."""
    later = next((number for number, corner in enumerate(plan) if corner.hour >= hour), None)
    if later is None:
        return degrees[-1]
    if later == 0:
        return degrees[0]
    before, after = plan[later - 1].hour, plan[later].hour
    part = (hour - before) / (after - before)
    return np.asarray(degrees[later - 1] + part * (degrees[later] - degrees[later - 1]))


def _rates(y: FloatArray, degC: FloatArray, half: FloatArray, esters_by_sugar: bool) -> FloatArray:
    """Change of the state in an hour; `half` is half the sugar at the start [g/L]."""
    k = {name: constant(name, degC) for name in _exponents()}
    sugar, ethanol = np.maximum(y[SUGAR], 0.0), y[ALCOHOL]
    fed = sugar / (k["sugar_half"] + sugar)
    grows = k["growth"] * sugar / (half + ethanol)
    takes, wakes = k["uptake"] * fed, k["waking"] * y[LAGGING]
    dies, settles = k["death"] * y[WORKING], k["settling"] * half / (half + ethanol) * y[SETTLING]
    made, taken = (float(_head()[f"diacetyl_{what}_L_per_g_h"]) for what in ("made", "taken"))
    rate = np.empty_like(y)
    rate[LAGGING] = -wakes
    rate[WORKING] = grows * y[WORKING] - dies + wakes
    rate[SETTLING] = dies - settles
    rate[SUGAR] = -takes * y[WORKING]
    rate[ALCOHOL] = (1.0 - ethanol / half) * k["ethanol"] * fed * y[WORKING]
    rate[DIACETYL] = made * sugar * y[WORKING] - taken * y[DIACETYL] * ethanol
    rate[ESTER] = k["ester"] * (takes if esters_by_sugar else grows) * y[WORKING]
    return rate
