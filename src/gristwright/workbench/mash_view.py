"""A simulated mash and a map of mash plans as a page shows them: tables, and the charts that say the same."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from gristwright.basics import Band
from gristwright.charts.heat_map import MARGIN, MARGIN_TITLE, heat_map, value_of
from gristwright.charts.mash_course import course_chart, last_shown
from gristwright.charts.theme import Chart
from gristwright.documents.cells import CellView
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import readable
from gristwright.quantities.shown import WITHHELD, capital, plain, significant
from gristwright.records.mash import NEXT_MASH, WASHBACK
from gristwright.records.mash_trials import Axis, MashRun, PlanCell, Variation
from gristwright.records.results import Figure
from gristwright.records.wash_trials import WashRun
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
from gristwright.workbench.wash_panel import WashPage, wash_page

CELL, NARROW_CELL = (56, 28), (36, 26)
# The course is kept every two minutes.
MOST_ROWS, STEPS_MIN = 16, (2.0, 4.0, 10.0, 20.0, 30.0, 60.0, 120.0)
# What the course's table has: heading, unit, key, factor, decimals.
COURSES = (
    ("Mash", "degC", "mash_degC", 1.0, 1),
    ("Starch not converted", "kg/t", "starch_kg_per_t", 1.0, 0),
    ("Dextrin", "kg/t", "dextrin_kg_per_t", 1.0, 0),
    ("Maltose", "kg/t", "maltose_kg_per_t", 1.0, 0),
    ("Maltotriose", "kg/t", "maltotriose_kg_per_t", 1.0, 0),
    ("Glucose", "kg/t", "glucose_kg_per_t", 1.0, 0),
    ("Alpha-amylase alive", "%", "alpha_alive", 100.0, 0),
    ("Beta-amylase alive", "%", "beta_alive", 100.0, 0),
    ("Limit dextrinase alive", "%", "limit_dextrinase_alive", 100.0, 0),
)
ALIVE = {
    "alpha_alive": "Alpha-amylase",
    "beta_alive": "Beta-amylase",
    "limit_dextrinase_alive": "Limit dextrinase",
}
ENDS = {
    "unconverted_pct",
    "unboiled_kg_per_t",
    "original_gravity_degP",
    "original_gravity_sg",
    "volume_L_per_t",
    "mash_pH",
}
LABELS = {
    "original_gravity_degP": "original extract",
    "original_gravity_sg": "original gravity",
    "volume_L_per_t": "volume into the washback",
}
HEX = re.compile(r"#[0-9a-f]{6}")


@dataclass(frozen=True)
class Litres:
    """New spirit [L pure alcohol/t] with the simulated mash: this bill, today's, and the paired change.

    None for what is withheld, and `why`, a sentence a bill.
    """

    this: Band | None
    today: Band | None
    change: Band | None
    why: tuple[str, ...] = ()


# The course of one mash


@dataclass(frozen=True)
class WortRow:
    """One wort: when it leaves and where to, how much and how strong, which enzymes live in it."""

    name: str
    goes_to: str
    at: str
    cells: tuple[CellView, ...]


@dataclass(frozen=True)
class MashTold:
    """Where the mash of a bill ends, what leaves it, and its course."""

    bill: str
    rows: tuple[EndView, ...]
    anchored: str
    withheld: tuple[str, ...]
    enzymes: tuple[str, ...]  # over the last cells of each wort
    worts: tuple[WortRow, ...]
    course: CourseTable
    measure_next: tuple[NextView, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class MashPage:
    """A simulated mash in words and tables, the pictures of its course, and the wash of it."""

    told: MashTold = field(metadata=SPREAD)
    wide: Chart
    narrow: Chart
    wash: WashPage | None


def mash_view(
    run: MashRun, litres: Litres | None, anchored: str, boiled: bool, wash: WashRun | None = None
) -> MashPage:
    """The simulated mash of a bill as a page shows it; of a brewer's without litres."""
    told = MashTold(
        bill=run.bill,
        rows=(
            *(litres_rows(litres) if litres else ()),
            *(end_row(figure) for figure in run.figures if wanted(figure, boiled)),
        ),
        anchored=anchored,
        withheld=litres.why if litres else (),
        worts=tuple(wort_row(run, k) for k in range(len(run.worts))),
        enzymes=tuple(head for key, head in ALIVE.items() if key in run.courses),
        course=CourseTable(tuple(f"{head}, {unit}" for head, unit, *_ in columns(run)), course_rows(run)),
        measure_next=next_views(run.measure_next),
        warnings=tuple(faults.sentence(problem) for problem in run.warnings),
    )
    wide, narrow = course_chart(run, width=WIDE, height=HEIGHT), course_chart(run, width=NARROW, height=HEIGHT)
    return MashPage(readable(told), wide, short_names(narrow), wash_page(wash) if wash else None)


def short_names(chart: Chart) -> Chart:
    """The picture with worts named but not where they go: there is no room, and the table says it."""
    text = json.dumps(chart, ensure_ascii=False, allow_nan=False)
    return dict(json.loads(text.replace(f' to {WASHBACK}"', '"').replace(f' to {NEXT_MASH}"', '"')))


def litres_rows(litres: Litres) -> tuple[EndView, ...]:
    """New spirit of the bill, of today's, and the change."""
    unit = "L pure alcohol/t"
    return (
        ends("new spirit, this bill", unit, litres.this, 1),
        ends("new spirit, today's bill", unit, litres.today, 1),
        ends("change", unit, litres.change, 1, difference=True),
    )


def wanted(figure: Figure, boiled: bool) -> bool:
    """Whether a figure is one for this house: fermentability as it is where the wort is boiled, unboiled elsewhere."""
    return figure.key in ENDS or figure.key == ("now_pct" if boiled else "unboiled_pct")


def end_row(figure: Figure) -> EndView:
    """A figure of the end of the mash."""
    return ends(LABELS.get(figure.key, figure.label), figure.unit, figure.band, figure.decimals)


def wort_row(run: MashRun, k: int) -> WortRow:
    """One wort as a row."""
    wort = run.worts[k]
    cells = (spread(wort.volume_L_per_t, 0), spread(wort.degP, 1), *(spread(b, 0) for b in wort.alive_pct.values()))
    return WortRow(capital(wort.name), wort.goes_to, plain(wort.at_min, 0), cells)


def columns(run: MashRun) -> tuple[tuple[str, str, str, float, int], ...]:
    """The columns of COURSES that the model of a mash has."""
    return tuple(column for column in COURSES if column[2] in run.courses)


def course_rows(run: MashRun) -> tuple[MinuteRow, ...]:
    """The course at round minutes, to where the picture ends."""
    rows = []
    for k in rows_shown(run.times_min, last_shown(run)):
        cells = tuple(spread(run.courses[key][k], decimals, factor) for _, _, key, factor, decimals in columns(run))
        rows.append(MinuteRow(plain(run.times_min[k], 0), cells))
    return tuple(rows)


def rows_shown(times_min: Sequence[float], end_min: float) -> list[int]:
    """Which times are written: every so many minutes, and the last."""
    step = next((s for s in STEPS_MIN if end_min / s <= MOST_ROWS), STEPS_MIN[-1])
    wanted_min = [*(step * n for n in range(int(end_min / step) + 1)), end_min]
    return sorted({min(range(len(times_min)), key=lambda k: abs(times_min[k] - at)) for at in wanted_min})


# The map


@dataclass(frozen=True)
class MapCell:
    """A middle, and whether its change against the plan as it stands is sure."""

    text: str
    sure: bool


@dataclass(frozen=True)
class MapRow:
    """The plans of one thickness."""

    label: str
    cells: tuple[MapCell, ...]


@dataclass(frozen=True)
class MapTable:
    """Middles of one figure: temperature to the right, thickness downwards."""

    title: str
    rows: tuple[MapRow, ...]


@dataclass(frozen=True)
class ReasonView:
    """Why plans cannot be or have no litres, where the model is out of its depth; and which plans."""

    sentence: str
    plans: str


@dataclass(frozen=True)
class MapTold:
    """A table for each figure, the plan as it stands, and why plans cannot be."""

    bill: str
    across: str
    up: str
    today: tuple[EndView, ...]
    withheld: tuple[str, ...]
    stands: tuple[str, ...]
    columns: tuple[str, ...]
    tables: tuple[MapTable, ...]
    reasons: tuple[ReasonView, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class MapPage:
    """A map of mash plans in words and tables, and its pictures."""

    told: MapTold = field(metadata=SPREAD)
    wide: Chart
    narrow: Chart


def map_view(variation: Variation) -> MapPage:
    """A map of mash plans as a page shows it."""
    figures = [(key, f"{f.label}, {f.unit}", f.decimals) for key, f in variation.named.items() if variation.has(key)]
    across, up = variation.axes
    told = MapTold(
        bill=variation.bill,
        across=axis_words(across),
        up=axis_words(up),
        today=tuple(_today_row(variation, key) for key in variation.keys),
        withheld=(variation.today.withheld,) if variation.today.withheld else (),
        stands=tuple(
            f"{axis.setting.meaning} {significant(now, 4)} {axis.setting.unit}"
            for axis, now in zip(variation.axes, variation.standing, strict=True)
            if now is not None
        ),
        columns=tuple(f"{value:g}" for value in across.values),
        tables=tuple(map_table(variation, *figure) for figure in (*figures, (MARGIN, MARGIN_TITLE, 0))),
        reasons=reasons(variation),
        warnings=tuple(faults.sentence(problem) for problem in variation.warnings),
    )
    wide = heat_map(variation, cell_width=CELL[0], cell_height=CELL[1])
    narrow = heat_map(variation, cell_width=NARROW_CELL[0], cell_height=NARROW_CELL[1])
    return MapPage(readable(told), as_on_paper(wide), as_on_paper(stacked(narrow)))


def _today_row(variation: Variation, key: str) -> EndView:
    if key in variation.today.figures:
        return end_row(variation.today.figures[key])
    return ends(variation.named[key].label, variation.named[key].unit, None, 0)


def axis_words(axis: Axis) -> str:
    """A setting with its unit."""
    return f"{capital(axis.setting.meaning)}, {axis.setting.unit}"


def map_table(variation: Variation, key: str, title: str, decimals: int) -> MapTable:
    """The table of one figure."""
    across, up = variation.axes
    cells = {cell.values: cell for cell in variation.cells}
    rows = (
        MapRow(f"{row:g}", tuple(map_cell(cells[column, row], key, decimals) for column in across.values))
        for row in reversed(up.values)
    )
    return MapTable(capital(title), tuple(rows))


def map_cell(cell: PlanCell, key: str, decimals: int) -> MapCell:
    """One plan of a table, or why nothing stands there."""
    if cell.cannot:
        return MapCell("cannot be", False)
    if key != MARGIN and key not in cell.figures:
        return MapCell(WITHHELD, False)
    sure = key in cell.changes and not cell.changes[key].band.includes_zero
    return MapCell(plain(value_of(cell, key), decimals), sure)


def reasons(variation: Variation) -> tuple[ReasonView, ...]:
    """What is to be said of plans; each sentence once, with its plans."""
    said: dict[str, list[str]] = {}
    for cell in variation.cells:
        withheld = (cell.withheld,) if cell.withheld else ()
        for sentence in (cell.cannot,) if cell.cannot else (*withheld, *cell.warnings):
            said.setdefault(sentence, []).append(" and ".join(f"{value:g}" for value in cell.values))
    return tuple(ReasonView(sentence.replace("--over ", ""), "; ".join(plans)) for sentence, plans in said.items())


def stacked(chart: Chart) -> Chart:
    """The panels of a picture one below the other."""
    panels = [panel for row in chart["vconcat"] for panel in row.get("hconcat", [row])]
    return {**chart, "vconcat": panels}


def as_on_paper(chart: Chart) -> Chart:
    """The cells of a map in the inks of paper whatever the theme, for its words say that darker is more.

    The page puts the inks of its theme in place of those in small letters.
    """
    rows = [{"hconcat": [_inked(panel) for panel in row["hconcat"]]} if "hconcat" in row else _inked(row)
            for row in chart["vconcat"]]  # fmt: skip
    return {**chart, "vconcat": rows}


def _inked(panel: Chart) -> Chart:
    frame = [layer for layer in panel["layer"] if "datum.today" in json.dumps(layer["transform"], allow_nan=False)]
    cells = [layer for layer in panel["layer"] if layer not in frame]
    return {
        **panel,
        "layer": [*(json.loads(HEX.sub(_loud, json.dumps(layer, allow_nan=False))) for layer in cells), *frame],
    }


def _loud(match: re.Match[str]) -> str:
    return match[0].upper()
