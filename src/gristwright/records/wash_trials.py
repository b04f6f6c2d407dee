"""A simulated wash as a distiller reads it. Page: docs/wash.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gristwright.basics import Assumption, Band, Problem
from gristwright.records.results import Figure, MeasureNext
from gristwright.records.washbacks import WashReading

# What is followed over time, as a person reads it.
WASH_COURSES = {
    "gravity_sg": ("gravity", "SG"),
    "degC": ("temperature of the wash", "degC"),
    "abv_pct": ("alcohol", "%vol"),
    "sugar_g_per_L": ("sugar", "g/L"),
    "dextrin_g_per_L": ("dextrin and open starch", "g/L"),
    "yeast_alive_g_per_L": ("living yeast, dry", "g/L"),
    "co2_kg_per_m3": ("carbon dioxide given off", "kg/m3"),
    "lactic_g_per_L": ("lactic acid", "g/L"),
    "pH": ("pH", "pH"),
}


@dataclass(frozen=True)
class PeakOfMonth:
    """How warm the wash becomes in one month, at the middles: room and cooling water [degC]."""

    month: int
    room_degC: float
    water_degC: float | None
    peak_degC: Band
    peak_h: float


@dataclass(frozen=True)
class BesidesLine:
    """One thing that the wash holds besides alcohol, with its range; None: not known, and why."""

    key: str
    label: str
    unit: str
    band: Band | None
    standing: str
    source: str
    moved: tuple[str, ...]  # what moved or widened it
    why_none: str = ""


@dataclass(frozen=True)
class WashRun:
    """The course of one wash with bands: `courses` by WASH_COURSES, one band for each time."""

    bill: str
    house: str
    times_h: tuple[float, ...]
    courses: Mapping[str, tuple[Band, ...]]
    figures: tuple[Figure, ...]
    months: tuple[PeakOfMonth, ...]
    measured: tuple[WashReading, ...]  # the house's own course, where it gave one
    cautions: tuple[str, ...]
    measure_next: tuple[MeasureNext, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Problem, ...]
    balance_error: float
    heat_error: float
    ceiling_degC: float = 34.0
    cooled_from_degC: float | None = None  # None: not cooled
    besides: tuple[BesidesLine, ...] = ()
