"""What a cask forecast refuses, and what it warns of. See docs/cask.md."""

from __future__ import annotations

import math

from gristwright.basics import Address, Problem, at
from gristwright.quantities.shown import counted
from gristwright.records.cask import CaskFill, CaskKind, Climate
from gristwright.records.fields import number_of

LOW_DEGC, HIGH_DEGC = -10.0, 45.0
# The range that the model of the cask was looked at for. A plan may lie outside it, and then has no forecast.
LOW_ENTRY_ABV_PCT, HIGH_ENTRY_ABV_PCT = 40.0, 80.0
USUAL_ENTRY_ABV_PCT = (55.0, 70.0)
LOW_CAPACITY_L, HIGH_CAPACITY_L = 2.0, 750.0
# Regulation (EU) 2019/787, Annex I category 2: wooden casks not exceeding 700 litres. Other laws use the same figure.
LAW_CAPACITY_L = 700.0
SMALL_CAPACITY_L = 100.0
LOW_WALL_MM, HIGH_WALL_MM = number_of(CaskKind, "wall_mm").bounds
MOST_MONTHS = 600
NEARLY_SATURATED = 0.95
WELL_FILLED = 0.9


def cask_problems(fill: CaskFill, climate: Climate) -> list[Problem]:
    """Every fault and warning of a cask forecast."""
    return [*of_climate(climate), *of_kind(fill.kind), *of_fill(fill)]


def outside_model(fill: CaskFill) -> list[Problem]:
    """Faults of a forecast that are none of a plan: a size or a strength that the model was not looked at for."""
    beyond = (at("cask", fill.kind.name, name) for name in ("capacity_L", "entry_abv_pct"))
    where = set(beyond)
    return [p for p in (*of_kind(fill.kind), *of_strength(fill)) if p.address in where and not p.warning]


def within(value: float, low: float, high: float) -> bool:
    """Whether a number is finite and inside its limits."""
    return math.isfinite(value) and low <= value <= high


def of_climate(climate: Climate) -> list[Problem]:
    """Twelve months, sensible temperatures, humidity as a share."""
    where = at("climate", climate.name)
    return [
        *of_length(where, "temperature", climate.month_degC),
        *of_length(where, "humidity", climate.month_humidity),
        *of_degC(where, climate.month_degC),
        *of_humidity(where, climate.month_humidity),
    ]


def of_length(where: Address, what: str, months: tuple[float, ...]) -> list[Problem]:
    """A climate has twelve months."""
    if len(months) == 12:
        return []
    way_out = "Give one mean for each month, January first."
    return [Problem(where, f"{what} has {counted(len(months), 'month')} and 12 are needed.", way_out)]


def of_degC(where: Address, months: tuple[float, ...]) -> list[Problem]:
    """Temperatures a store can have."""
    return [
        Problem(
            where.to("month", month),
            f"{value:g} degC is outside {LOW_DEGC:g} to {HIGH_DEGC:g} degC.",
            "Give the mean of the month inside the store in degrees Celsius.",
        )
        for month, value in enumerate(months, 1)
        if not within(value, LOW_DEGC, HIGH_DEGC)
    ]


def of_humidity(where: Address, months: tuple[float, ...]) -> list[Problem]:
    """Humidity is a share; a number above one is most likely a percentage."""
    problems = [
        humidity_fault(where.to("month", k), value) for k, value in enumerate(months, 1) if not within(value, 0, 1)
    ]
    wet = [value for value in months if within(value, NEARLY_SATURATED, 1)]
    if wet:
        what = (
            f"humidity reaches {max(wet):g}, and above {NEARLY_SATURATED:g} a cask may draw more water than it loses."
        )
        problems.append(Problem(where, what, "Check the sensor; leave headspace in the cask.", warning=True))
    return problems


def humidity_fault(where: Address, value: float) -> Problem:
    """The sentence for one humidity outside 0..1."""
    way_out = "Give relative humidity as a share of one."
    if 1.0 < value <= 100.0:
        way_out = f"If {value:g} is per cent, write {value / 100.0:g}."
    return Problem(where, f"humidity {value:g} is outside 0 to 1.", way_out)


def of_kind(kind: CaskKind) -> list[Problem]:
    """Capacity, wall and number of the fill."""
    where, capacity = at("cask", kind.name), kind.capacity_L
    problems = (
        of_capacity(where.to("capacity_L"), capacity) if within(capacity, LOW_CAPACITY_L, HIGH_CAPACITY_L) else []
    )
    if not within(capacity, LOW_CAPACITY_L, HIGH_CAPACITY_L):
        what = f"capacity {capacity:g} L is outside {LOW_CAPACITY_L:g} to {HIGH_CAPACITY_L:g} L, the model's range."
        problems.append(Problem(where.to("capacity_L"), what, "Give the capacity of one cask in litres."))
    if not within(kind.wall_mm, LOW_WALL_MM, HIGH_WALL_MM):
        what = f"wall {kind.wall_mm:g} mm is outside {LOW_WALL_MM:g} to {HIGH_WALL_MM:g} mm."
        problems.append(Problem(where.to("wall_mm"), what, "Give the thickness of a stave in millimetres."))
    if kind.fill_number < 1:
        problems.append(
            Problem(where.to("fill_number"), f"fill number {kind.fill_number} is below 1.", "The first fill is 1.")
        )
    return problems


def of_capacity(where: Address, capacity_L: float) -> list[Problem]:
    """Warnings for casks above the legal size and for small ones."""
    if capacity_L > LAW_CAPACITY_L:
        what = f"capacity {capacity_L:g} L is above {LAW_CAPACITY_L:g} L, the most that whisky laws commonly allow."
        return [Problem(where, what, "Check the category before filling.", warning=True)]
    if capacity_L < SMALL_CAPACITY_L:
        what = f"capacity {capacity_L:g} L is below {SMALL_CAPACITY_L:g} L; only its loss is forecast."
        return [Problem(where, what, "A small cask never gives the same whisky faster.", warning=True)]
    return []


def of_fill(fill: CaskFill) -> list[Problem]:
    """Litres, strength, months."""
    return [*of_volume(fill), *of_strength(fill), *of_months(fill)]


def of_volume(fill: CaskFill) -> list[Problem]:
    """The fill fits into the cask, and wets most of its wall."""
    where, capacity = at("cask", fill.kind.name, "fill_L"), fill.kind.capacity_L
    if not (math.isfinite(fill.fill_L) and 0.0 < fill.fill_L <= capacity):
        what = f"{fill.fill_L:g} L does not fit a cask of {capacity:g} L."
        return [Problem(where, what, "Fill more than nothing and not above the capacity.")]
    if fill.fill_L < WELL_FILLED * capacity:
        what = f"{fill.fill_L:g} L is under nine tenths of {capacity:g} L; loss is reckoned on the whole wall."
        return [Problem(where, what, "Fill the cask, or read the loss as too high per litre.", warning=True)]
    return []


def of_strength(fill: CaskFill) -> list[Problem]:
    """Strength at entry."""
    where, abv = at("cask", fill.kind.name, "entry_abv_pct"), fill.entry_abv_pct
    if not within(abv, LOW_ENTRY_ABV_PCT, HIGH_ENTRY_ABV_PCT):
        what = (
            f"strength {abv:g} %vol is outside {LOW_ENTRY_ABV_PCT:g} to {HIGH_ENTRY_ABV_PCT:g} %vol, the model's range."
        )
        return [Problem(where, what, "Reduce the spirit before filling, or give its strength in %vol at 20 degC.")]
    low, high = USUAL_ENTRY_ABV_PCT
    if not low <= abv <= high:
        what = f"strength {abv:g} %vol is outside the usual {low:g} to {high:g} %vol."
        return [Problem(where, what, "Check the gauge and what the category allows at entry.", warning=True)]
    return []


def of_months(fill: CaskFill) -> list[Problem]:
    """Time in the cask and month of filling."""
    where, problems = at("cask", fill.kind.name), []
    if not 0 <= fill.months <= MOST_MONTHS:
        what = f"{counted(fill.months, 'month')} is outside 0 to {MOST_MONTHS}."
        problems.append(Problem(where.to("years"), what, "Give the time in wood in whole months."))
    if not 1 <= fill.first_month <= 12:
        what = f"month of filling {fill.first_month} is outside 1 to 12."
        problems.append(Problem(where.to("first_month"), what, "January is 1."))
    return problems
