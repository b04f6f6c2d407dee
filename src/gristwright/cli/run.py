"""`gristwright run`: one bill from the grain to the bottle, as a litres ledger. See docs/flowsheet.md."""

from __future__ import annotations

from pathlib import Path

import click

from gristwright import casework
from gristwright.basics import Problem, Refused
from gristwright.casework.bench import Forecast, basis_words, capacity_lines
from gristwright.cli.ageing_markers import show_amounts
from gristwright.cli.echo import echo
from gristwright.cli.inputs import (
    accept,
    lots_from,
    lots_option,
    map_option,
    members_option,
    seed_option,
    show_cautions,
    show_warnings,
)
from gristwright.cli.tables import Cell, as_json, ends_of, plain_table, remark
from gristwright.documents.forecast import forecast_view
from gristwright.files.jobs_in import read_bill
from gristwright.quantities.shown import WITHHELD, plain
from gristwright.records.results import BillResult


@click.command()
@click.argument("bill", type=click.Path(path_type=Path))
@lots_option
@map_option
@members_option
@seed_option
@click.option("--stage", type=click.Choice(["mash", "wash"]), help="Show one stage over time instead, simulated.")
@click.option("--chart", type=click.Path(path_type=Path), help="Draw the stage into this SVG, PNG or PDF.")
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def run(
    bill: Path,
    lots: Path,
    map_path: Path | None,
    members: int,
    seed: int,
    stage: str | None,
    chart: Path | None,
    as_data: bool,
) -> None:
    """Follow a BILL file through its house: figures with low, middle and high, and the litres ledger.

    With --stage mash or wash the course of its simulated mash or wash.
    """
    if stage == "mash":
        from gristwright.cli.mash_words import run_mash

        run_mash(read_bill(bill), lots_from(lots, map_path), 2**members, seed, chart, as_data)
        return
    if stage == "wash":
        from gristwright.cli.wash_words import run_wash

        run_wash(read_bill(bill), lots_from(lots, map_path), 2**members, seed, chart, as_data)
        return
    if chart is not None:
        raise Refused(
            [Problem("--chart", "a bill as a whole has no picture here.", "Add --stage mash or --stage wash.")]
        )
    sheet, given, warnings = accept(read_bill(bill), lots_from(lots, map_path))
    follow = casework.brew if sheet.purpose == "beer" else casework.forecast
    made = follow(sheet, given, members=2**members, seed=seed)
    if as_data:
        echo(as_json(forecast_view(made, warnings)))
        return
    show(made)
    show_warnings([*warnings, *made.warnings])
    show_cautions(made.result.cautions)


def show(made: Forecast) -> None:
    """What hangs on the basis of shares, the figures and the ledger on a terminal."""
    for sentence in basis_words(made.result.law, made.result.law_beside):
        echo(remark(sentence) + "\n")
    rows: list[tuple[Cell, ...]] = [
        (figure.label, figure.unit, *ends_of(figure.band, figure.decimals)) for figure in made.result.figures.values()
    ]
    why = made.result.withheld
    rows += [(label, unit, "", WITHHELD, "") for _, label, unit in (why.names if why else ())]
    echo(plain_table((made.result.bill.name, "unit", "low", "middle", "high"), rows))
    if why is not None:
        echo(remark(why.sentence))
    for sentence in made.remarks:
        echo(remark(sentence))
    _show_ledger(made.result)
    show_amounts([(made.result.bill.name, made.result.markers)])
    if made.capacity is not None:
        echo("\nCapacity")
        echo(plain_table(("", "unit", "low", "middle", "high"), capacity_lines(made.capacity)))
        for line in made.capacity.words:
            echo(remark(line))


def _show_ledger(result: BillResult) -> None:
    """The litres ledger of a distiller's bill; there is none of beer, and none where litres are withheld."""
    if result.ledger is None:
        return
    echo("\nLitres ledger, litres of pure alcohol a tonne of grist")
    lines = [
        (("- " if row.kind == "loss" else "") + row.label, plain(row.reference, 1), *ends_of(row.band, 1))
        for row in result.ledger.rows
    ]
    echo(plain_table(("", "one run", "low", "middle", "high"), lines))
    echo(remark("The one run adds up; the bands stand beside it, and their middles do not add."))
