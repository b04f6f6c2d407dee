"""`gristwright check`: do the files hold, does the bill convert, may it carry its name? See docs/casework.md."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import click

from gristwright import casework
from gristwright.basics import Refused
from gristwright.casework.bench import Forecast, basis_words, headlines
from gristwright.cli.echo import echo
from gristwright.cli.inputs import accept, lots_from, lots_option, map_option, show_cautions, show_warnings
from gristwright.cli.tables import as_json, hanging, plain_table, problems_data, remark
from gristwright.documents.data import SPREAD
from gristwright.documents.forecast import ForecastView, forecast_view
from gristwright.files.jobs_in import read_bill
from gristwright.rules import law


@dataclass(frozen=True)
class CheckedView:
    """A forecast, and every problem with its address."""

    forecast: ForecastView = field(metadata=SPREAD)
    problems: list[dict[str, object]]


@click.command()
@click.argument("bill", type=click.Path(path_type=Path))
@lots_option
@map_option
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def check(bill: Path, lots: Path, map_path: Path | None, as_data: bool) -> None:
    """Check a BILL file and its lots: every fault, then the boards and the law."""
    try:
        sheet, given, warnings = accept(read_bill(bill), lots_from(lots, map_path))
        made = casework.brew(sheet, given) if sheet.purpose == "beer" else casework.check(sheet, given)
    except Refused as refused:
        if as_data:
            echo(as_json({"problems": problems_data(refused.problems)}))
        raise
    if as_data:
        problems = problems_data([*warnings, *made.warnings])
        echo(as_json(CheckedView(forecast_view(made, warnings), problems)))
        return
    show(made)
    show_warnings([*warnings, *made.warnings])
    show_cautions(made.result.cautions)


def show(made: Forecast) -> None:
    """What hangs on the basis of shares, the boards and the names of the law on a terminal."""
    for sentence in basis_words(made.result.law, made.result.law_beside):
        echo(remark(sentence) + "\n")
    rows = [
        (board.title, board.light.value, f"{board.sentence} {board.remedy}".strip()) for board in made.result.boards
    ]
    echo(plain_table((made.result.bill.name, "stands", "why"), rows))
    _show_names(made)
    for answer in made.result.law:
        for item in answer.answers:
            if item.flag:
                echo("\n" + remark(f"{answer.title}, {item.rule_id}: {item.flag}"))
    if not made.result.law and not made.result.law_beside:
        return
    echo(
        "\n" + remark("Category results depend on the rule text and date shown in the law pages and on what you typed.")
    )


def _show_names(made: Forecast) -> None:
    """Every name asked for and the best beside them with the rule that decides it; what else fails is a line."""
    short = headlines(made.result.law, made.result.law_beside)
    if short.entries:
        echo("\nWhat it may be called")
    for one in short.entries:
        why = f": {one.rule.rule_id}: {one.rule.told}" if one.rule else ""
        echo(hanging(f"{one.verdict.value.upper()}  {one.title}{why}", "  "))
    if short.fails:
        found = law.fitting(made.result.law, made.result.law_beside)
        echo(hanging(found.fails_in_short, "  "))
