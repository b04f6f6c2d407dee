"""The simulated mash as a part of the dossier: course, end, and what another plan gives. See docs/order.md."""

from __future__ import annotations

from dataclasses import dataclass

from gristwright.charts.heat_map import axis_title, heat_map
from gristwright.charts.mash_course import course_chart
from gristwright.charts.theme import Chart
from gristwright.documents.entries import RUNS, Entry, entry, figure_entry, single
from gristwright.documents.mash_trials import cell_entry
from gristwright.quantities.shown import capital, plain
from gristwright.records.mash_trials import ENZYMES, Axis, MashPart, MashRun, PlanCell, Variation, WortLine

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
TITLES = {"alpha_alive": "alpha-amylase", "beta_alive": "beta-amylase", "limit_dextrinase_alive": "limit dextrinase"}
NOTE = (
    "A simulation of the vessel; 5 to 95 % in brackets. It holds few published rows it was not fitted to, and no "
    "measured course of a whole mash was at hand: trust directions and differences before sizes."
)
GRID_NOTE = (
    "The same bill and draws at other settings of the plan, against the plan as it stands. A first look on fewer draws "
    "than the offers stand on."
)


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
    """The course with its figures and worts, and the grid of plans where there is one."""

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


def mash_part_view(part: MashPart) -> MashPartView:
    """The simulated mash as a view."""
    run = part.run
    return MashPartView(
        bill=run.bill,
        chart=course_chart(run, height=84),
        figures=tuple(figure_entry(figure) for figure in run.figures if figure.key in SHOWN),
        enzymes=tuple(TITLES[key] for key in ENZYMES if key in run.courses),
        worts=tuple(_wort(run, wort) for wort in run.worts),
        measure_next=tuple(
            f"{capital(m.meaning)}: it narrows {m.narrows} by {plain(m.by, 1)} {m.unit}" for m in run.measure_next
        ),
        grid=None if part.grid is None else _grid(part.grid),
        warnings=tuple(problem.sentence() for problem in run.warnings),
        note=NOTE,
        grid_note=GRID_NOTE,
    )


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


def _grid(variation: Variation) -> GridView:
    across, up = variation.axes
    return GridView(
        chart=heat_map(variation),
        across=capital(axis_title(across)),
        up=capital(axis_title(up)),
        columns=tuple(_setting(across, value, 1) for value in across.values),
        rows=tuple(
            GridRowView(
                _setting(up, at, 2), tuple(_cell(variation, cell) for cell in variation.cells if cell.values[1] == at)
            )
            for at in up.values
        ),
    )


def _setting(axis: Axis, value: float, decimals: int) -> Entry:
    return single(axis.key, axis.setting.meaning, axis.setting.unit, value, decimals, "the grid")


def _cell(variation: Variation, cell: PlanCell) -> GridCellView:
    if cell.cannot:
        return GridCellView(cell.cannot, (), None)
    figures = tuple(cell_entry(variation, cell, key) for key in GRID if key in variation.keys)
    return GridCellView("", figures, single("margin", "worst board", "of the draws", cell.margin, 3, RUNS))
