"""A simulated wash as a view. See docs/wash.md."""

from __future__ import annotations

import calendar
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gristwright.basics import Band, Problem
from gristwright.documents.assumptions import AssumptionView, assumption_view
from gristwright.documents.entries import Entry, figure_entry
from gristwright.documents.lots import LotsView, lots_view
from gristwright.documents.mash_trials import CourseView, NarrowsView, narrows_views
from gristwright.records.lot import LotIdentity
from gristwright.records.wash_trials import WASH_COURSES, PeakOfMonth, WashRun

WASH_FORMAT = "gristwright.wash/1"
# What tables of a course have, with decimals.
SHOWN_COURSES = (
    ("gravity_sg", 4),
    ("degC", 1),
    ("abv_pct", 2),
    ("sugar_g_per_L", 1),
    ("dextrin_g_per_L", 1),
    ("yeast_alive_g_per_L", 2),
    ("co2_kg_per_m3", 1),
    ("lactic_g_per_L", 2),
    ("pH", 2),
)
# A table has a row every so many hours: close together while the wash works, wider behind.
CLOSE_H, WIDE_H, CLOSE_UNTIL_H = 6.0, 12.0, 48.0


@dataclass(frozen=True)
class WashReadingView:
    """A reading of the house's own."""

    hours: float
    gravity_sg: float | None
    degC: float | None


@dataclass(frozen=True)
class PeakView:
    """How warm the wash becomes in one month."""

    month: int
    room_degC: float
    water_degC: float | None
    peak_degC: Band
    peak_h: float


@dataclass(frozen=True)
class BesidesView:
    """One thing that the wash holds besides alcohol; no band where it is not known, and why."""

    key: str
    label: str
    unit: str
    band: Band | None
    standing: str
    source: str
    moved: tuple[str, ...]
    why_none: str


@dataclass(frozen=True)
class WashRunView:
    """The course, where it ends, its peak by month, what to measure next, what it rests on.

    `cooled_from_degC` is null where the wash is not cooled.
    """

    format: str
    bill: str
    house: str
    ceiling_degC: float
    cooled_from_degC: float | None
    times_h: tuple[float, ...]
    courses: tuple[CourseView, ...]
    figures: tuple[Entry, ...]
    months: tuple[PeakView, ...]
    measured: tuple[WashReadingView, ...]
    measure_next: tuple[NarrowsView, ...]
    assumptions: tuple[AssumptionView, ...]
    balance_error: float
    heat_error: float
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    besides: tuple[BesidesView, ...]
    lots_table: LotsView


def wash_view(run: WashRun, lots: Mapping[str, LotIdentity], warnings: Sequence[Problem] = ()) -> WashRunView:
    """A simulated wash as a view, with the `lots` of its bill."""
    return WashRunView(
        format=WASH_FORMAT,
        bill=run.bill,
        house=run.house,
        ceiling_degC=run.ceiling_degC,
        cooled_from_degC=run.cooled_from_degC,
        times_h=run.times_h,
        courses=tuple(CourseView(key, label, unit, run.courses[key]) for key, (label, unit) in WASH_COURSES.items()),
        figures=tuple(figure_entry(figure) for figure in run.figures),
        months=tuple(_peak(peak) for peak in run.months),
        measured=tuple(WashReadingView(r.hours, r.gravity_sg, r.degC) for r in run.measured),
        measure_next=narrows_views(run.measure_next),
        assumptions=tuple(assumption_view(assumption) for assumption in run.assumptions),
        balance_error=run.balance_error,
        heat_error=run.heat_error,
        warnings=tuple(problem.sentence() for problem in (*warnings, *run.warnings)),
        cautions=run.cautions,
        besides=tuple(BesidesView(**vars(one)) for one in run.besides),
        lots_table=lots_view(lots),
    )


def _peak(peak: PeakOfMonth) -> PeakView:
    return PeakView(peak.month, peak.room_degC, peak.water_degC, peak.peak_degC, peak.peak_h)


def months_named(month: int) -> str:
    """The name of a month, 1 for January."""
    return calendar.month_name[month]


def shown_hours(times_h: Sequence[float]) -> list[int]:
    """Which times of a course a table has, the last among them."""
    end, wanted, at = times_h[-1], [], 0.0
    while at < end:
        wanted.append(at)
        at += CLOSE_H if at < CLOSE_UNTIL_H else WIDE_H
    return sorted({min(range(len(times_h)), key=lambda k: abs(times_h[k] - hour)) for hour in (*wanted, end)})
