"""The course of a simulated wash on a terminal, for `gristwright run --stage wash`. See docs/wash.md."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gristwright.basics import Band, refuse_if_any
from gristwright.casework import mash_house
from gristwright.charts.render import ending_problems, picture
from gristwright.charts.wash_course import cooling, reading_of, wash_chart
from gristwright.cli.echo import echo
from gristwright.cli.inputs import accept, show_cautions, show_warnings
from gristwright.cli.pictures import write_whole
from gristwright.cli.tables import Cell, as_json, ends_of, measure_lines, plain_table, remark
from gristwright.documents.lots import lots_in
from gristwright.documents.wash_trials import SHOWN_COURSES, months_named, shown_hours, wash_view
from gristwright.files.reading import Reading
from gristwright.quantities.shown import plain, significant
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from gristwright.records.wash_trials import WashRun
from gristwright.reference.house_words import for_a_brewer

HEADS = ("gravity", "wash", "alcohol", "sugar", "dextrin", "yeast", "CO2", "lactic", "pH")
READ = (
    "Middle values. gravity: SG at 20 degC. wash: its temperature, degC. alcohol: %vol. sugar, dextrin (with open "
    "starch), yeast (living, dry), lactic (acid): g/L. CO2: given off so far, kg/m3. Bands: --json, --chart."
)
STANDING = (
    "A simulation with wide bands; most of its constants are from memory or estimated. What it misses: docs/wash.md."
)


def run_wash(
    bill: Reading[BillSheet],
    lots: Reading[tuple[Lot, ...]],
    members: int,
    seed: int,
    chart: Path | None,
    as_data: bool,
) -> None:
    """Run, print and draw the simulated wash of a bill."""
    refuse_if_any(ending_problems(chart, "--chart") if chart else [])
    sheet, given, warnings = accept(bill, lots)
    run = mash_house.wash_run(sheet, given, members=members, seed=seed)
    brews = sheet.purpose == "beer"
    drawn = for_a_brewer(wash_chart(run)) if brews else wash_chart(run)
    written = write_whole({chart: picture(drawn, chart.suffix.lower())}) if chart else ()
    if as_data:
        echo(as_json(wash_view(run, lots_in(sheet.bill, given), warnings)))
        return
    shown = for_a_brewer(run) if brews else run
    show(shown)
    show_warnings([*warnings, *shown.warnings])
    show_cautions(shown.cautions)
    for path in written:
        echo(f"\nWritten: {path}")


def show(run: WashRun) -> None:
    """The course, where it ends, its peak by month and what to measure next."""
    echo(remark(f"Wash of {run.bill} at {run.house}, {cooling(run)}") + "\n")
    echo(plain_table(("h", *HEADS), [_row(run, k) for k in shown_hours(run.times_h)]))
    echo(remark(READ) + "\n")
    rows = [(f.label, f.unit, *ends_of(f.band, f.decimals)) for f in run.figures]
    echo(plain_table(("at the end", "unit", "low", "middle", "high"), rows))
    _measured(run)
    _months(run)
    _besides(run)
    for line in measure_lines(run.measure_next):
        echo(line)
    echo("\n" + remark(STANDING))


def _row(run: WashRun, k: int) -> tuple[Cell, ...]:
    values = [plain(run.courses[key][k].middle, decimals) for key, decimals in SHOWN_COURSES]
    return (plain(run.times_h[k], 0), *values)


def _measured(run: WashRun) -> None:
    """The house's own readings beside what the simulation says at the nearest hour."""
    if not run.measured:
        return
    rows: list[tuple[Cell, ...]] = []
    for reading in run.measured:
        k = min(range(len(run.times_h)), key=lambda at: abs(run.times_h[at] - reading.hours))
        for key, unit, decimals in (("gravity_sg", "SG", 4), ("degC", "degC", 1)):
            value = reading_of(reading, key)
            if value is not None:
                said = (plain(value, decimals), *ends_of(run.courses[key][k], decimals))
                rows.append((plain(reading.hours, 0), unit, *said))
    echo("\nMeasured by the house")
    echo(plain_table(("h", "unit", "measured", "low", "middle", "high"), rows))


def _months(run: WashRun) -> None:
    if not run.months:
        return
    rows: Sequence[tuple[Cell, ...]] = [
        (
            months_named(peak.month),
            plain(peak.room_degC, 0),
            "" if peak.water_degC is None else plain(peak.water_degC, 0),
            *ends_of(peak.peak_degC, 1),
            plain(peak.peak_h, 0),
        )
        for peak in run.months
    ]
    echo("\nWarmest by month, degC")
    echo(plain_table(("month", "room", "water", "low", "middle", "high", "after h"), rows))


def _besides(run: WashRun) -> None:
    """What it holds besides alcohol; what is not known in one line."""
    known = [(one.label, one.unit, *shown_ends(one.band), one.standing) for one in run.besides if one.band]
    if not known:
        return
    echo("\nBesides alcohol, in the wash")
    echo(plain_table(("", "unit", "low", "middle", "high", "standing"), known))
    unknown = [one.label for one in run.besides if one.band is None]
    if unknown:
        echo(remark(f"Not known: {', '.join(unknown)}."))
    echo(remark("Ranges of low standing; what moved each: --json. No litre rests on them."))


def shown_ends(band: Band) -> tuple[str, str, str]:
    """The three ends in two significant digits."""
    low, middle, high = (significant(value, 2) for value in (band.low, band.middle, band.high))
    return low, middle, high
