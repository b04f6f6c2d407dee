"""`gristwright order`: what one mash of a bill is run by. See docs/order.md."""

from __future__ import annotations

from pathlib import Path

import click

from gristwright.basics import Problem, Refused
from gristwright.casework.mash_house import ordered_alone
from gristwright.cli.echo import echo
from gristwright.cli.inputs import (
    accept,
    lots_from,
    lots_option,
    map_option,
    members_option,
    seed_option,
    show_warnings,
)
from gristwright.cli.pictures import write_whole
from gristwright.cli.tables import Cell, as_json, plain_table, remark
from gristwright.documents.dossier import PAPERS
from gristwright.documents.entries import Entry
from gristwright.documents.lots import lots_in
from gristwright.documents.order import OrderView
from gristwright.documents.order_sheet import order_sheet, sheet_json, sheet_pages
from gristwright.documents.speech import LOCALES, speech
from gristwright.files.jobs_in import read_bill

KINDS = (".pdf", ".json")


@click.command()
@click.argument("bill", type=click.Path(path_type=Path))
@lots_option
@map_option
@click.option("--language", type=click.Choice(list(LOCALES)), default="en", show_default=True, help="Language.")
@click.option("--out", type=click.Path(path_type=Path), help="Write it into this PDF or JSON.")
@click.option("--paper", type=click.Choice(list(PAPERS)), default="a4", show_default=True, help="Paper of the PDF.")
@members_option
@seed_option
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def order(
    bill: Path,
    lots: Path,
    map_path: Path | None,
    language: str,
    out: Path | None,
    paper: str,
    members: int,
    seed: int,
    as_data: bool,
) -> None:
    """The mash-house order of a BILL file: weights, liquors and their temperatures, steps, what to keep and what to do.

    A brewer's ends at the kettle.
    """
    if out is not None and out.suffix not in KINDS:
        raise Refused([Problem("--out", f"{out.name!r} is no PDF or JSON.", f"End it on {' or '.join(KINDS)}.")])
    sheet, given, warnings = accept(read_bill(bill), lots_from(lots, map_path))
    made, found = ordered_alone(sheet, given, 2**members, seed)
    warned = tuple(problem.sentence() for problem in (*warnings, *found))
    view = order_sheet(made, sheet, lots_in(sheet.bill, given), speech(language), warned)
    if as_data:
        echo(as_json(view))
        return
    if out is None:
        _show(view.title, view.order)
    else:
        write = sheet_json(view) if out.suffix == ".json" else sheet_pages(view, PAPERS[paper])[0]
        _write(out, write)
    show_warnings([*warnings, *found])


def _write(path: Path, content: bytes) -> None:
    """Put the file in its place. Raises Refused where that cannot be written."""
    write_whole({path: content})
    echo(f"Written: {path}")


def _show(title: str, view: OrderView) -> None:
    """The order on a terminal."""
    words = view.words
    echo(title)
    _table(words["weigh"], ("lot", "type", "asked", "kg", "how"), view, [
        (w.lot, w.title, w.asked.at, w.kg.at, w.how) for w in view.weighings])  # fmt: skip
    for line in (*view.bags, view.rounding_text):
        if line:
            echo(remark(line))
    _table(words["steps"], ("minute", "step", "grain_kg", "liquor_L", "liquor_degC", "settled"), view, [
        (s.at.at, s.what, *map(_at, (s.kg, s.litres, s.liquor, s.settled))) for s in view.steps])  # fmt: skip
    for line in (*view.balance, *view.notes):
        echo(remark(line))
    _table(words["keep"], ("what", "aim", "outside", "how"), view, [
        (" ".join((aim.title, aim.unit)).strip(), _at(aim.aim), aim.limits, aim.words)
        for group in view.aims for aim in group.rows])  # fmt: skip
    echo(f"\n{words['if_seen']}")
    for action in view.actions:
        echo(remark(f"{action.seen}: {action.do} ({action.rests})"))
    echo(f"\n{words['mind']}")
    for line in view.cautions:
        echo(remark(line))


def _table(title: str, heads: tuple[str, ...], view: OrderView, rows: list[tuple[Cell, ...]]) -> None:
    echo(f"\n{title}")
    echo(plain_table(tuple(view.words[head] for head in heads), rows))


def _at(number: Entry | None) -> str:
    return number.at if number else ""
