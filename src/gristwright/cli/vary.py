"""`gristwright vary`: one bill on a grid of mash plans. See docs/vary.md."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import click

from gristwright.basics import Problem, Refused
from gristwright.casework import mash_house
from gristwright.casework.mash_house import axis_of
from gristwright.charts.heat_map import MARGIN, value_of, variation_chart
from gristwright.charts.render import ending_problems, picture
from gristwright.cli.echo import echo, progress
from gristwright.cli.inputs import accept, lots_from, lots_option, map_option, seed_option, show_warnings
from gristwright.cli.pictures import write_whole
from gristwright.cli.tables import Cell as Shown
from gristwright.cli.tables import as_json, hanging, plain_table, remark
from gristwright.documents.lots import lots_in
from gristwright.documents.mash_trials import variation_csv, variation_view
from gristwright.files.jobs_in import read_bill
from gristwright.quantities.shown import WITHHELD, plain, signed, significant
from gristwright.records.mash_trials import Axis, PlanCell, Variation
from gristwright.records.results import Figure

MOST_COLUMNS = 8
MOST_REASONS = 12


@click.command()
@click.argument("bill", type=click.Path(path_type=Path))
@lots_option
@map_option
@click.option("--over", "overs", multiple=True, required=True, help="key=from:to:step or key=a,b,c; once or twice.")
@click.option("--chart", type=click.Path(path_type=Path), help="Draw the grid into this SVG, PNG or PDF.")
@click.option("--csv", "csv_path", type=click.Path(path_type=Path), help="Write the grid as CSV, one line a plan.")
@click.option(
    "--members", type=click.IntRange(7, 14), default=9, show_default=True, help="Draws of each plan, power of two."
)
@seed_option
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def vary(
    bill: Path,
    lots: Path,
    map_path: Path | None,
    overs: tuple[str, ...],
    chart: Path | None,
    csv_path: Path | None,
    members: int,
    seed: int,
    as_data: bool,
) -> None:
    """Mash a BILL on a grid of plans: litres, fermentability, starch left and boards, against the plan as it stands.

    Settings are those of [mash] and [washbacks] in the plant file. Decimals are written with a point: a comma parts a
    list.

    \b
    --over mash.settled_degC=62:70:1
    --over mash.liquor_L_per_kg=3:5:0.5
    --over washback.set_degC=18:30:2
    """
    reading, certificates = read_bill(bill), lots_from(lots, map_path)
    axes, faults = axes_of(overs)
    faults += ending_problems(chart, "--chart") if chart else []
    if faults:
        raise Refused([*faults, *reading.problems, *certificates.problems])
    sheet, given, warnings = accept(reading, certificates)
    try:
        variation = mash_house.vary(sheet, given, axes, members=2**members, seed=seed, tick=_progress)
    finally:
        _progress(1, 1, "")
    contents = {chart: picture(variation_chart(variation), chart.suffix.lower())} if chart else {}
    contents |= {csv_path: variation_csv(variation)} if csv_path else {}
    written = write_whole(contents)
    if as_data:
        echo(as_json(variation_view(variation, lots_in(sheet.bill, given), warnings)))
        return
    show(variation)
    show_warnings([*warnings, *variation.warnings])
    for path in written:
        echo(f"\nWritten: {path}")


def axes_of(overs: Sequence[str]) -> tuple[list[Axis], list[Problem]]:
    """The axes as typed, and what is wrong with those that cannot be read."""
    axes: list[Axis] = []
    problems: list[Problem] = []
    for text in overs:
        try:
            axes.append(axis_of(text))
        except Refused as refused:
            problems += refused.problems
    return axes, problems


def _progress(done: int, total: int, note: str) -> None:
    """One line on a terminal, overwritten; nothing when the output goes to a file."""
    progress(f"{done} of {total}: {note}" if note else "")


def show(variation: Variation) -> None:
    """The plan as it stands, then the grid."""
    echo(remark(f"{variation.bill} at {variation.house}, {variation.members} draws of each plan") + "\n")
    said = [
        f"{axis.setting.meaning} {significant(now, 4)} {axis.setting.unit}"
        for axis, now in zip(variation.axes, variation.standing, strict=True)
        if now is not None
    ]
    echo(remark(f"The plan as it stands{': ' if said else ''}{', '.join(said)}"))
    rows: list[tuple[Shown, ...]] = [(f.label, f.unit, *_ends(f)) for f in variation.today.figures.values()]
    echo(plain_table(("", "unit", "low", "middle", "high"), rows))
    if variation.today.withheld:
        echo(remark(variation.today.withheld))
    echo(remark(_margin_words(variation.today)))
    if len(variation.axes) == 1:
        _show_line(variation)
    else:
        _show_grid(variation)
    _show_reasons(variation)
    echo("\n" + remark(
        "Margin: the share of the draws in which the worst board is not in order. Law is not among the boards: the "
        "mash does not move it. Changes are on the same draws. How to read it: docs/vary.md."
    ))  # fmt: skip


def _ends(figure: Figure) -> tuple[str, str, str]:
    return tuple(plain(x, figure.decimals) for x in (figure.band.low, figure.band.middle, figure.band.high))  # type: ignore[return-value]


def _margin_words(cell: PlanCell) -> str:
    worst = f": {cell.worst}" if cell.worst else ""
    return f"Worst board not in order in {plain(100.0 * cell.margin, 0)} % of the draws{worst}."


def _show_line(variation: Variation) -> None:
    """One row a value for each figure, with its change."""
    axis = variation.axes[0]
    for key in variation.keys:
        if not variation.has(key):
            continue
        figure = variation.named[key]
        echo(f"\n{figure.label}, {figure.unit}; change against the plan as it stands")
        heads = (f"{axis.setting.unit}", "low", "middle", "high", "change", "low", "high")
        echo(plain_table(heads, [_line(cell, key) for cell in variation.cells]))
    echo("\nmargin, % of the draws, and the worst board")
    rows = [(f"{c.values[0]:g}", _value(c, MARGIN, 0), c.worst) for c in variation.cells]
    echo(plain_table((axis.setting.unit, "margin", "board"), rows))


def _line(cell: PlanCell, key: str) -> tuple[Shown, ...]:
    at = f"{cell.values[0]:g}"
    if cell.cannot:
        return (at, "", "cannot", "", "", "", "")
    if key not in cell.figures:
        return (at, "", WITHHELD, "", "", "", "")
    figure = cell.figures[key]
    if key not in cell.changes:
        return (at, *_ends(figure), WITHHELD, "", "")
    change = cell.changes[key]
    moved = [signed(x, change.decimals) for x in (change.band.middle, change.band.low, change.band.high)]
    return (at, *_ends(figure), *moved)


def _show_grid(variation: Variation) -> None:
    """One table of middles a figure, the second setting downwards; too wide a grid in parts."""
    titles = {key: (f"{f.label}, {f.unit}", f.decimals) for key, f in variation.named.items() if variation.has(key)}
    for key, (title, decimals) in {**titles, MARGIN: ("margin, % of the draws", 0)}.items():
        echo(f"\n{title}")
        for start in range(0, len(variation.axes[0].values), MOST_COLUMNS):
            echo(_table(variation, key, decimals, variation.axes[0].values[start : start + MOST_COLUMNS]))
    echo(remark(
        "Middle values; a star marks a change whose band leaves zero out. low, middle and high of all: --json, --csv."
    ))  # fmt: skip


def _table(variation: Variation, key: str, decimals: int, columns: Sequence[float]) -> str:
    across, up = variation.axes
    cells = {cell.values: cell for cell in variation.cells}
    heads = (f"{up.setting.unit} \\ {across.setting.unit}", *(f"{value:g}" for value in columns))
    rows = [
        (f"{row:g}", *(_value(cells[column, row], key, decimals) for column in columns)) for row in reversed(up.values)
    ]
    return plain_table(heads, rows)


def _value(cell: PlanCell, key: str, decimals: int) -> str:
    if cell.cannot:
        return "cannot"
    if key != MARGIN and key not in cell.figures:
        return WITHHELD
    star = "*" if key in cell.changes and not cell.changes[key].band.includes_zero else ""
    return plain(value_of(cell, key), decimals) + star


def _show_reasons(variation: Variation) -> None:
    """Why plans cannot be or have no litres, where the model is out of its depth; each sentence once with its plans."""
    parts = {
        "Cannot be": _reasons(variation, lambda cell: [cell.cannot] if cell.cannot else []),
        "Withheld": _reasons(variation, lambda cell: [cell.withheld] if cell.withheld else []),
        "Mind": _reasons(variation, lambda cell: [] if cell.cannot else cell.warnings),
    }
    for title, sentences in parts.items():
        if sentences:
            echo(f"\n{title}")
        for sentence, points in list(sentences.items())[:MOST_REASONS]:
            echo(hanging(f"- {'; '.join(points[:3])}{' and others' if points[3:] else ''}: {sentence}"))
        if len(sentences) > MOST_REASONS:
            echo(f"- and {len(sentences) - MOST_REASONS} more, in --json and --csv")


def _reasons(variation: Variation, said: Callable[[PlanCell], Sequence[str]]) -> dict[str, list[str]]:
    reasons: dict[str, list[str]] = {}
    for cell in variation.cells:
        for sentence in said(cell):
            reasons.setdefault(sentence, []).append(" and ".join(f"{value:g}" for value in cell.values))
    return reasons
