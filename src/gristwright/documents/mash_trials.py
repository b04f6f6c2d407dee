"""A simulated mash, and a grid of mashes, as views; the grid as the rows of a CSV too. See docs/vary.md."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gristwright.basics import Band, Problem
from gristwright.documents.assumptions import AssumptionView, assumption_view
from gristwright.documents.entries import RUNS, Entry, figure_entry, single, withheld_entry
from gristwright.documents.lots import LotsView, lots_view
from gristwright.files.csv_out import csv_text
from gristwright.records.lot import LotIdentity
from gristwright.records.mash_trials import COURSES, ENZYMES, Axis, MashRun, PlanCell, Variation, WortLine
from gristwright.records.results import MeasureNext

RUN_FORMAT, VARY_FORMAT = "gristwright.mash_run/1", "gristwright.vary/1"
ENDS = ("low", "middle", "high")


@dataclass(frozen=True)
class CourseView:
    """Something followed over the mash: its band at each time."""

    key: str
    label: str
    unit: str
    bands: tuple[Band, ...]


@dataclass(frozen=True)
class WortView:
    """One wort as it leaves: when and where to, how much and how strong, which enzymes live in it."""

    name: str
    goes_to: str
    at_min: float
    volume_L_per_t: Band
    degP: Band
    alive_pct: dict[str, Band]


@dataclass(frozen=True)
class NarrowsView:
    """What to measure next, and by how much it narrows an end value."""

    name: str
    meaning: str
    narrows: str
    by: float
    unit: str
    how: str


@dataclass(frozen=True)
class MashView:
    """The course, where it ends, the worts, what to measure next, what it rests on."""

    format: str
    bill: str
    house: str
    times_min: tuple[float, ...]
    settled_degC: tuple[float, ...]
    courses: tuple[CourseView, ...]
    figures: tuple[Entry, ...]
    worts: tuple[WortView, ...]
    measure_next: tuple[NarrowsView, ...]
    assumptions: tuple[AssumptionView, ...]
    balance_error: float
    warnings: tuple[str, ...]
    lots_table: LotsView


@dataclass(frozen=True)
class AxisView:
    """What is varied, over which values, and where it stands today."""

    key: str
    label: str
    unit: str
    values: tuple[float, ...]
    today: float | None


@dataclass(frozen=True)
class PlanCellView:
    """One plan: its settings, figures and changes, or why it cannot be."""

    at: dict[str, float]
    cannot: str
    figures: tuple[Entry, ...]
    changes: tuple[Entry, ...]
    withheld: str
    margin: Entry | None
    worst_board: str
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class VariationView:
    """Axes, the plan as it stands, and every cell with its figures and changes."""

    format: str
    bill: str
    house: str
    members: int
    seed: int
    axes: tuple[AxisView, ...]
    today: PlanCellView
    cells: tuple[PlanCellView, ...]
    assumptions: tuple[AssumptionView, ...]
    warnings: tuple[str, ...]
    lots_table: LotsView


def mash_view(run: MashRun, lots: Mapping[str, LotIdentity], warnings: Sequence[Problem] = ()) -> MashView:
    """A simulated mash as a view, with the `lots` of its bill."""
    return MashView(
        format=RUN_FORMAT,
        bill=run.bill,
        house=run.house,
        times_min=run.times_min,
        settled_degC=run.settled_degC,
        courses=tuple(
            CourseView(key, label, unit, run.courses[key])
            for key, (label, unit) in COURSES.items()
            if key in run.courses
        ),
        figures=tuple(figure_entry(figure) for figure in run.figures),
        worts=tuple(_wort(wort) for wort in run.worts),
        measure_next=narrows_views(run.measure_next),
        assumptions=tuple(assumption_view(assumption) for assumption in run.assumptions),
        balance_error=run.balance_error,
        warnings=tuple(problem.sentence() for problem in (*warnings, *run.warnings)),
        lots_table=lots_view(lots),
    )


def narrows_views(lines: Sequence[MeasureNext]) -> tuple[NarrowsView, ...]:
    """What to measure next, as views."""
    return tuple(NarrowsView(m.assumption, m.meaning, m.narrows, m.by, m.unit, m.how) for m in lines)


def _wort(wort: WortLine) -> WortView:
    alive = {key: wort.alive_pct[key] for key in ENZYMES if key in wort.alive_pct}
    return WortView(wort.name, wort.goes_to, wort.at_min, wort.volume_L_per_t, wort.degP, alive)


def variation_view(
    variation: Variation, lots: Mapping[str, LotIdentity], warnings: Sequence[Problem] = ()
) -> VariationView:
    """A grid of mashes as a view, with the `lots` of its bill."""
    return VariationView(
        format=VARY_FORMAT,
        bill=variation.bill,
        house=variation.house,
        members=variation.members,
        seed=variation.seed,
        axes=tuple(_axis(axis, now) for axis, now in zip(variation.axes, variation.standing, strict=True)),
        today=_cell(variation, variation.today),
        cells=tuple(_cell(variation, cell) for cell in variation.cells),
        assumptions=tuple(assumption_view(assumption) for assumption in variation.assumptions),
        warnings=tuple(problem.sentence() for problem in (*warnings, *variation.warnings)),
        lots_table=lots_view(lots),
    )


def _axis(axis: Axis, now: float | None) -> AxisView:
    return AxisView(axis.key, axis.setting.meaning, axis.setting.unit, axis.values, now)


def _cell(variation: Variation, cell: PlanCell) -> PlanCellView:
    margin = None
    if not cell.cannot:
        margin = single("margin", "Worst board not in order", "of the draws", cell.margin, 3, RUNS)
    figures, changes = (
        (() if cell.cannot else variation.keys),
        (variation.keys if cell.values and not cell.cannot else ()),
    )
    return PlanCellView(
        at={axis.key: value for axis, value in zip(variation.axes, cell.values, strict=False)},
        cannot=cell.cannot,
        figures=tuple(cell_entry(variation, cell, key) for key in figures),
        changes=tuple(_change_entry(variation, cell, key) for key in changes),
        withheld=cell.withheld,
        margin=margin,
        worst_board=cell.worst,
        warnings=cell.warnings,
    )


def cell_entry(variation: Variation, cell: PlanCell, key: str) -> Entry:
    """A figure of a plan, or why it is not given."""
    if key in cell.figures:
        return figure_entry(cell.figures[key])
    named = variation.named[key]
    return withheld_entry(key, named.label, named.unit, cell.withheld)


def _change_entry(variation: Variation, cell: PlanCell, key: str) -> Entry:
    if key in cell.changes:
        return figure_entry(cell.changes[key], difference=True)
    named = variation.named[key]
    return withheld_entry(key, named.label, named.unit, cell.withheld or variation.today.withheld)


def variation_csv(variation: Variation) -> bytes:
    """One line a plan, the plan as it stands first: settings, figures and changes with their ends, margin, reason."""
    keys = variation.keys
    heads = [axis.key for axis in variation.axes]
    heads += [f"{key}_{end}" for key in keys for end in ENDS]
    heads += [f"change_{key}_{end}" for key in keys for end in ENDS]
    rows = [["plan", *heads, "margin", "worst_board", "cannot", "withheld", "warnings"]]
    rows.append(_line("as it stands", variation, variation.today, variation.standing))
    rows += [_line(str(number), variation, cell, cell.values) for number, cell in enumerate(variation.cells, start=1)]
    return csv_text(rows).encode()


def _line(name: str, variation: Variation, cell: PlanCell, at: tuple[float | None, ...]) -> list[str]:
    ends = [
        f"{getattr(table[key].band, end):.6g}" if key in table else ""
        for table in (cell.figures, cell.changes)
        for key in variation.keys
        for end in ENDS
    ]
    margin = "" if math.isnan(cell.margin) else f"{cell.margin:.4g}"
    settings = ["" if value is None else f"{value:g}" for value in at]
    return [name, *settings, *ends, margin, cell.worst, cell.cannot, cell.withheld, " ".join(cell.warnings)]
