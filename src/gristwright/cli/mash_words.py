"""The course of a simulated mash on a terminal, for `gristwright run --stage mash`. See docs/mash_simulation.md."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gristwright.basics import Band, refuse_if_any
from gristwright.casework import mash_house
from gristwright.charts.mash_course import course_chart
from gristwright.charts.render import ending_problems, picture
from gristwright.cli.echo import echo
from gristwright.cli.inputs import accept, show_warnings
from gristwright.cli.pictures import write_whole
from gristwright.cli.tables import Cell, as_json, ends_of, measure_lines, plain_table, remark
from gristwright.documents.lots import lots_in
from gristwright.documents.mash_trials import mash_view
from gristwright.files.reading import Reading
from gristwright.quantities.shown import plain
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.mash_trials import MashRun
from gristwright.reference.house_words import for_a_brewer

MOST_ROWS = 16
STEPS = (2.0, 4.0, 10.0, 20.0, 30.0, 60.0)
SHOWN = (
    ("mash_degC", 1.0, 1),
    ("starch_kg_per_t", 1.0, 0),
    ("dextrin_kg_per_t", 1.0, 0),
    ("maltose_kg_per_t", 1.0, 0),
    ("maltotriose_kg_per_t", 1.0, 0),
    ("glucose_kg_per_t", 1.0, 0),
    ("wort_g_per_100g", 1.0, 1),
    ("alpha_alive", 100.0, 0),
    ("beta_alive", 100.0, 0),
    ("limit_dextrinase_alive", 100.0, 0),
)
HEADS = ("mash", "starch", "dextrin", "maltose", "triose", "gluc.", "wort", "alpha", "beta", "LD")
ALIVE = {"alpha_alive": "alpha", "beta_alive": "beta", "limit_dextrinase_alive": "LD"}
READ = (
    "Middle values. set, mash: temperature as written and in the mash, degC. starch (not converted), dextrin, maltose, "
    "maltotriose (triose), glucose: kg/t of grist, in the vessel. wort: g extract in 100 g. alpha-amylase, "
    "beta-amylase, limit dextrinase (LD): alive, % of what was put in. Bands: --json, --chart."
)
STANDING = (
    "A simulation with wide bands; most of its constants are derived or estimated, and no measured course of a whole "
    "mash was at hand. What it misses: docs/mash_simulation.md."
)


def run_mash(
    bill: Reading[BillSheet],
    lots: Reading[tuple[Lot, ...]],
    members: int,
    seed: int,
    chart: Path | None,
    as_data: bool,
) -> None:
    """Run, print and draw the simulated mash of a bill."""
    refuse_if_any(ending_problems(chart, "--chart") if chart else [])
    sheet, given, warnings = accept(bill, lots)
    run = mash_house.mash_run(sheet, given, members=members, seed=seed)
    brews = sheet.purpose == "beer"
    drawn = for_a_brewer(course_chart(run)) if brews else course_chart(run)
    written = write_whole({chart: picture(drawn, chart.suffix.lower())}) if chart else ()
    if as_data:
        echo(as_json(mash_view(run, lots_in(sheet.bill, given), warnings)))
        return
    show(for_a_brewer(run) if brews else run)
    show_warnings([*warnings, *run.warnings])
    for path in written:
        echo(f"\nWritten: {path}")


def show(run: MashRun) -> None:
    """The course, where it ends, the worts and what to measure next."""
    echo(remark(f"Mash of {run.bill} at {run.house}") + "\n")
    heads = [head for head, (key, *_) in zip(HEADS, SHOWN, strict=True) if key in run.courses]
    echo(plain_table(("min", "set", *heads), [_row(run, k) for k in shown_rows(run.times_min)]))
    echo(remark(READ) + "\n")
    rows = [(f.label, f.unit, *ends_of(f.band, f.decimals)) for f in run.figures]
    echo(plain_table(("at the end", "unit", "low", "middle", "high"), rows))
    echo("\nWhat leaves the vessel, and which enzymes live in it, % of those put in so far")
    living = [head for key, head in ALIVE.items() if key in run.courses]
    echo(plain_table(("", "goes to", "min", "L/t", "degP", *living), _worts(run)))
    for line in measure_lines(run.measure_next):
        echo(line)
    echo("\n" + remark(STANDING))


def shown_rows(times_min: Sequence[float]) -> list[int]:
    """Which times are printed: every so many minutes, and the last; never more than MOST_ROWS or so."""
    step = next((s for s in STEPS if times_min[-1] / s <= MOST_ROWS), STEPS[-1])
    chosen = [min(range(len(times_min)), key=lambda k: abs(times_min[k] - n * step)) for n in range(MOST_ROWS + 1)]
    return sorted({*chosen, len(times_min) - 1})


def _row(run: MashRun, k: int) -> tuple[Cell, ...]:
    shown = [row for row in SHOWN if row[0] in run.courses]
    values = [plain(factor * run.courses[key][k].middle, decimals) for key, factor, decimals in shown]
    return (plain(run.times_min[k], 0), plain(run.settled_degC[k], 0), *values)


def _worts(run: MashRun) -> list[tuple[Cell, ...]]:
    return [
        (
            wort.name,
            wort.goes_to,
            plain(wort.at_min, 0),
            plain(wort.volume_L_per_t.middle, 0),
            plain(wort.degP.middle, 1),
            *(_span(band) for band in wort.alive_pct.values()),
        )
        for wort in run.worts
    ]


def _span(band: Band) -> str:
    low, middle, high = ends_of(band, 0)
    return middle if low == high else f"{middle} ({low}-{high})"
