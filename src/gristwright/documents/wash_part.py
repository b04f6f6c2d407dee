"""The simulated wash as a part of the dossier: course, end, peak by month, cautions. See docs/wash.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.charts.theme import Chart
from gristwright.charts.wash_course import cooling, wash_chart
from gristwright.documents.entries import Entry, entry, figure_entry, single
from gristwright.documents.mash_part import measure_sentences
from gristwright.documents.wash_trials import months_named
from gristwright.quantities.shown import plain
from gristwright.records.results import Figure
from gristwright.records.wash_trials import PeakOfMonth, WashRun

COOLED = "cooled_MJ_per_m3"
# Of the figures a wash ends with, those that the ledger and the boards do not say.
SHOWN = (
    "peak_degC",
    "peak_h",
    "stops_h",
    "attenuated_pct",
    "sugar_left_g_per_L",
    "most_co2_m3_per_m3_h",
    COOLED,
    "yeast_dead_pct",
    "fan_left_mg_per_L",
    "lactic_cost_pct",
    "pH",
)
# Width and height of the picture, so that on paper its words are as large as the small print.
COURSE_PX = (600, 74)
NOTE = (
    "A simulation of one washback; small is low to high. Most of its constants are from memory or estimated: trust "
    "directions and differences before sizes. The litres above rest on it."
)


@dataclass(frozen=True)
class MonthPartView:
    """How warm the wash becomes in one month."""

    name: str
    room: Entry
    water: Entry | None
    peak: Entry
    after: Entry


@dataclass(frozen=True)
class WashPartView:
    """The course with its figures, the peak by month where the house gives rooms, cautions, what to measure next."""

    bill: str
    said: str  # cooled or not, and how warm it may become
    chart: Chart
    figures: tuple[Entry, ...]
    months: tuple[MonthPartView, ...]
    measure_next: tuple[str, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    note: str


def wash_part_view(run: WashRun) -> WashPartView:
    """The simulated wash as a view."""
    rests = run.figures[0].rests_on
    return WashPartView(
        bill=run.bill,
        said=vessel_words(run),
        chart=wash_chart(run, width=COURSE_PX[0], height=COURSE_PX[1]),
        figures=tuple(figure_entry(figure) for figure in figures_shown(run)),
        months=tuple(_month(peak, rests) for peak in run.months),
        measure_next=measure_sentences(run.measure_next),
        cautions=run.cautions,
        warnings=tuple(problem.sentence() for problem in run.warnings),
        note=NOTE,
    )


def figures_shown(run: WashRun) -> tuple[Figure, ...]:
    """The figures of the end that a page has: of cooling nothing where there is none."""
    keys = set(SHOWN) - ({COOLED} if run.cooled_from_degC is None else set())
    return tuple(figure for figure in run.figures if figure.key in keys)


def vessel_words(run: WashRun) -> str:
    """Whether the wash is cooled, how long it stands, and how warm it may become."""
    hours = plain(run.times_h[-1], 0)
    return f"The wash is {cooling(run)} and stands {hours} hours; its ceiling is {plain(run.ceiling_degC, 1)} °C."


def _month(peak: PeakOfMonth, rests: tuple[str, ...]) -> MonthPartView:
    given, water = "the plant file", peak.water_degC
    return MonthPartView(
        name=months_named(peak.month),
        room=single("room_degC", "room", "degC", peak.room_degC, 0, given),
        water=None if water is None else single("water_degC", "cooling water", "degC", water, 0, given),
        peak=entry("peak_degC", "warmest", "degC", peak.peak_degC, 1, rests),
        after=single("peak_h", "warmest after", "h", peak.peak_h, 0, "the simulated wash"),
    )
