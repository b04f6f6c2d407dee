"""The simulated mash as a part of the dossier: course, end, and what another plan gives. See docs/order.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.charts.heat_map import MARGIN, axis_title, heat_map
from gristwright.charts.mash_course import course_chart
from gristwright.charts.theme import Chart
from gristwright.documents.entries import RUNS, Entry, entry, figure_entry, single
from gristwright.documents.mash_trials import cell_entry
from gristwright.quantities.shown import capital, lower, plain
from gristwright.records.mash_trials import ENZYMES, Axis, MashPart, MashRun, Moved, PlanCell, Variation, WortLine
from gristwright.records.results import MeasureNext

# Of the figures a mash ends with, those that the ledger and the boards do not say.
SHOWN = (
    "unconverted_pct",
    "now_pct",
    "unboiled_pct",
    "volume_L_per_t",
    "mash_pH",
    "heating_MJ_per_t",
    "cooling_MJ_per_t",
)
GRID = ("lpa_per_t", "fermentability_pct", "unconverted_pct")
# Width and height of the picture of the course, so that on paper its words are as large as the small print.
COURSE_PX = (600, 78)
TITLES = {"alpha_alive": "alpha-amylase", "beta_alive": "beta-amylase", "limit_dextrinase_alive": "limit dextrinase"}
NOTE = (
    "A simulation of the vessel; small is low to high. It holds few published rows it was not fitted to, and no "
    "measured course of a whole mash was at hand: trust directions and differences before sizes."
)
GRID_NOTE = "The same bill at other settings of the plan, against the plan as it stands: a first look."


@dataclass(frozen=True)
class WortPartView:
    """One wort: when it leaves and where to, how much and how strong, which enzymes live in it."""

    name: str
    goes_to: str
    at: Entry
    volume: Entry
    degP: Entry
    alive: tuple[Entry, ...]


@dataclass(frozen=True)
class GridCellView:
    """One plan of the grid: its figures, or why it cannot be."""

    cannot: str
    figures: tuple[Entry, ...]
    margin: Entry | None


@dataclass(frozen=True)
class GridRowView:
    """The plans at one setting of the axis that goes up."""

    at: Entry
    cells: tuple[GridCellView, ...]


@dataclass(frozen=True)
class GridView:
    """Rows of cells, one a plan, as a table beside the picture."""

    chart: Chart
    across: str
    up: str
    columns: tuple[Entry, ...]
    rows: tuple[GridRowView, ...]


@dataclass(frozen=True)
class MashPartView:
    """The course with its figures and worts, and the grid of plans where something moves over it.

    `varied` says which temperature the grid varies, `moves` what does not move enough for a picture.
    """

    bill: str
    chart: Chart
    figures: tuple[Entry, ...]
    enzymes: tuple[str, ...]
    worts: tuple[WortPartView, ...]
    measure_next: tuple[str, ...]
    grid: GridView | None
    warnings: tuple[str, ...]
    note: str
    grid_note: str
    varied: str
    moves: tuple[str, ...]


def mash_part_view(part: MashPart) -> MashPartView:
    """The simulated mash as a view."""
    run = part.run
    worth = [one.key for one in part.moved if one.worth_showing]
    return MashPartView(
        bill=run.bill,
        chart=course_chart(run, width=COURSE_PX[0], height=COURSE_PX[1]),
        figures=tuple(figure_entry(figure) for figure in run.figures if figure.key in SHOWN),
        enzymes=tuple(TITLES[key] for key in ENZYMES if key in run.courses),
        worts=tuple(_wort(run, wort) for wort in run.worts),
        measure_next=measure_sentences(run.measure_next),
        grid=None if part.grid is None or not worth else _grid(part.grid, worth),
        warnings=tuple(problem.sentence() for problem in run.warnings),
        note=NOTE,
        grid_note=GRID_NOTE,
        varied=part.varied,
        moves=() if part.grid is None else still(part.grid, part.moved),
    )


def measure_sentences(lines: Sequence[MeasureNext]) -> tuple[str, ...]:
    """What to measure next, a sentence each; none that would say it brings nothing."""
    return tuple(
        f"{capital(m.meaning)}: it narrows {m.narrows} by {plain(m.by, 1)} {m.unit}."
        for m in lines
        if round(m.by, 1) > 0.0
    )


def still(grid: Variation, moved: Sequence[Moved]) -> tuple[str, ...]:
    """What does not move enough over the grid to be drawn, by how much at most; and plans that cannot be."""
    flat = [one for one in moved if not one.worth_showing]
    if not flat:
        return ()
    within = " and ".join(
        f"{plain(min(axis.values), 1)} to {plain(max(axis.values), 1)} {axis.setting.unit} ({axis.setting.meaning})"
        for axis in grid.axes
    )
    parts = [_by_at_most(grid, one) for one in flat]
    said = f"{', '.join(parts[:-1])} and {parts[-1]}" if len(parts) > 1 else parts[0]
    none = "nothing moves enough to be drawn: " if len(flat) == len(moved) else ""
    cannot = [cell.cannot for cell in grid.cells if cell.cannot]
    left = (f"{len(cannot)} of {len(grid.cells)} settings cannot be mashed: {cannot[0]}",) if cannot and none else ()
    return (f"Within {within} {none}{said}.", *left)


def _by_at_most(grid: Variation, one: Moved) -> str:
    if one.key == MARGIN:
        if not round(100.0 * one.by):
            return "no board moves"
        return f"the chance of the worst board moves by no more than {plain(100.0 * one.by, 0)} % of the runs"
    named = grid.named[one.key]
    if not round(one.by, named.decimals):
        return f"{lower(named.label)} does not move"
    return f"{lower(named.label)} moves by no more than {plain(one.by, named.decimals)} {named.unit}"


def _wort(run: MashRun, wort: WortLine) -> WortPartView:
    rests = run.figures[0].rests_on
    return WortPartView(
        name=capital(wort.name),
        goes_to=wort.goes_to,
        at=single("at_min", "drawn at", "min", wort.at_min, 0, "the plan"),
        volume=entry("volume_L_per_t", "litres", "L/t", wort.volume_L_per_t, 0, rests),
        degP=entry("degP", "strength", "degP", wort.degP, 1, rests),
        alive=tuple(
            entry(key, TITLES[key], "% alive", wort.alive_pct[key], 0, rests)
            for key in ENZYMES
            if key in wort.alive_pct
        ),
    )


def _grid(variation: Variation, keys: Sequence[str]) -> GridView:
    """The grid of the figures that move, and of the margin where it does."""
    across, up = variation.axes
    shown = [key for key in GRID if key in keys]
    return GridView(
        chart=heat_map(variation, keys=keys, cell_width=38, beside=3 if len(keys) == 3 else 2),
        across=capital(axis_title(across)),
        up=capital(axis_title(up)),
        columns=tuple(_setting(across, value, 1) for value in across.values),
        rows=tuple(
            GridRowView(
                _setting(up, at, 2),
                tuple(_cell(variation, cell, shown) for cell in variation.cells if cell.values[1] == at),
            )
            for at in up.values
        ),
    )


def _setting(axis: Axis, value: float, decimals: int) -> Entry:
    return single(axis.key, axis.setting.meaning, axis.setting.unit, value, decimals, "the grid")


def _cell(variation: Variation, cell: PlanCell, keys: Sequence[str]) -> GridCellView:
    if cell.cannot:
        return GridCellView(cell.cannot, (), None)
    figures = tuple(cell_entry(variation, cell, key) for key in keys)
    margin = single(MARGIN, "Worst board not in order", "% of the runs", 100.0 * cell.margin, 0, RUNS)
    return GridCellView("", figures, margin)
