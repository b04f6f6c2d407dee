"""A simulated wash as a page shows it: tables, and the charts that say the same. See docs/wash.md."""

from __future__ import annotations

from dataclasses import dataclass, field

from gristwright.charts.theme import Chart
from gristwright.charts.wash_course import wash_chart
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import readable
from gristwright.documents.wash_part import figures_shown, vessel_words
from gristwright.documents.wash_trials import SHOWN_COURSES, months_named, shown_hours
from gristwright.quantities.shown import capital, plain
from gristwright.records.wash_trials import WASH_COURSES, WashRun
from gristwright.workbench import faults
from gristwright.workbench.course_view import (
    HEIGHT,
    NARROW,
    WIDE,
    CourseTable,
    EndView,
    MinuteRow,
    NextView,
    ends,
    next_views,
    spread,
)


@dataclass(frozen=True)
class MonthRow:
    """How warm the wash becomes in one month, after how many hours."""

    name: str
    room: str
    water: str
    peak: EndView
    after: str


@dataclass(frozen=True)
class WashTold:
    """Where the wash of a bill ends, its course, its peak by month, and what is to be minded."""

    bill: str
    said: str
    rows: tuple[EndView, ...]
    course: CourseTable
    months: tuple[MonthRow, ...]
    measure_next: tuple[NextView, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class WashPage:
    """A simulated wash in words and tables, and the pictures of its course."""

    told: WashTold = field(metadata=SPREAD)
    wide: Chart
    narrow: Chart


def wash_page(run: WashRun) -> WashPage:
    """The simulated wash of a bill as a page shows it."""
    told = WashTold(
        bill=run.bill,
        said=vessel_words(run),
        rows=tuple(ends(f.label, f.unit, f.band, f.decimals) for f in figures_shown(run)),
        course=CourseTable(tuple(_head(key) for key, _ in SHOWN_COURSES), _rows(run)),
        months=tuple(
            MonthRow(
                months_named(month.month),
                plain(month.room_degC, 0),
                "" if month.water_degC is None else plain(month.water_degC, 0),
                ends("warmest", "degC", month.peak_degC, 1),
                plain(month.peak_h, 0),
            )
            for month in run.months
        ),
        measure_next=next_views(run.measure_next),
        cautions=run.cautions,
        warnings=tuple(faults.sentence(problem) for problem in run.warnings),
    )
    wide, narrow = wash_chart(run, width=WIDE, height=HEIGHT), wash_chart(run, width=NARROW, height=HEIGHT)
    return WashPage(readable(told), wide, narrow)


def _head(key: str) -> str:
    label, unit = WASH_COURSES[key]
    return capital(label) if label == unit else f"{capital(label)}, {unit}"


def _rows(run: WashRun) -> tuple[MinuteRow, ...]:
    return tuple(
        MinuteRow(
            plain(run.times_h[k], 0), tuple(spread(run.courses[key][k], decimals) for key, decimals in SHOWN_COURSES)
        )
        for k in shown_hours(run.times_h)
    )
