"""`gristwright advise`: an enquiry in, a recommendation as PDF and JSON out. See docs/casework.md."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from gristwright import casework
from gristwright.basics import Problem
from gristwright.casework import recommend
from gristwright.casework.bench import bill_cautions
from gristwright.cli.ageing_markers import show_brief
from gristwright.cli.echo import echo
from gristwright.cli.inputs import (
    accept,
    lots_from,
    lots_option,
    map_option,
    members_option,
    refuse_unwritable,
    seed_option,
    show_cautions,
    show_warnings,
    watched,
)
from gristwright.cli.tables import as_json, hanging, plain_table, remark
from gristwright.documents.cells import CellView
from gristwright.documents.dose import dose_view
from gristwright.documents.dossier import answer_of_beer, write_dossier
from gristwright.documents.recommendation import recommendation_files
from gristwright.documents.speech import LOCALES
from gristwright.documents.view import markers_view, recommendation_view
from gristwright.files.jobs_in import read_enquiry
from gristwright.files.provenance import fingerprints
from gristwright.files.writing import write_set
from gristwright.quantities.shown import WITHHELD, plain, signed, with_interval
from gristwright.records.enquiry import Language
from gristwright.records.order import Dossier
from gristwright.records.results import Anchor, BillResult, Recommendation


@click.command()
@click.argument("enquiry", type=click.Path(path_type=Path))
@lots_option
@map_option
@click.option("--out", type=click.Path(path_type=Path), default=Path("out"), show_default=True, help="Folder to write.")
@members_option
@seed_option
@click.option("--dossier", "in_full", is_flag=True, help="Write dossier.pdf, dossier.html and dossier.json too.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper of the dossier."
)
@click.option(
    "--language",
    type=click.Choice(list(LOCALES)),
    help="Language of the customer's pages, not the enquiry's.",
)
@click.option("--json", "as_data", is_flag=True, help="Print the recommendation as JSON instead of the summary.")
def advise(
    enquiry: Path,
    lots: Path,
    map_path: Path | None,
    out: Path,
    members: int,
    seed: int,
    in_full: bool,
    paper: str,
    language: Language | None,
    as_data: bool,
) -> None:
    """Answer an ENQUIRY file: the present bill, up to five bills worth offering, and what each changes.

    Writes recommendation.pdf and recommendation.json into the folder of --out; with --dossier also the mash-house
    order, the change-over, a year of each bill and what moves the answer.
    """
    refuse_unwritable(out)
    reading = read_enquiry(enquiry)
    certificates = lots_from(lots, map_path)
    asked, given, warnings = accept(reading, certificates)
    asked = replace(asked, language=language) if language else asked
    inputs = fingerprints([*reading.files, *certificates.files])
    job = recommend.dossier if in_full else casework.advise
    with watched() as tick:
        made = job(asked, given, inputs, warnings, members=2**members, seed=seed, tick=tick)
    answer = made.recommendation if isinstance(made, Dossier) else made
    beer = answer.purpose == "beer"
    files = answer_of_beer(answer, paper) if beer else recommendation_files(answer)
    paths = write_dossier(made, out, paper, files) if isinstance(made, Dossier) else write_set(out, files)
    if as_data:
        echo(as_json(recommendation_view(answer)))
        return
    show(answer)
    show_warnings([Problem("", text) for text in answer.warnings])
    show_cautions(bill_cautions((answer.present, *(offer.result for _, offer in answer.told))))
    echo("\n" + "\n".join(f"Written: {path}" for path in paths))


def show(answer: Recommendation) -> None:
    """The summary on a terminal."""
    echo(remark(answer.question) + "\n")
    for line in answer.answer:
        echo(remark(line))
    echo("\n" + remark(_anchored(answer.anchor)) + "\n")
    if answer.purpose == "beer":
        head = ("bill", "degP", "EBC", "att. %", f"{answer.currency}/hL", "change", "low", "high")
        echo(plain_table(head, _rows_of_beer(answer)))
    else:
        echo(plain_table(("bill", "L/t", f"{answer.currency}/L", "change L/t", "low", "high"), _rows(answer)))
    show_brief(markers_view(answer))
    _show_dose(answer)
    if answer.shown or answer.asked:
        _show_ends(answer)
    for demand in answer.search.conflict:
        echo(remark(f"- {demand.demand}: {demand.gives}."))
    for item in answer.measure_next:
        echo("\n" + remark(f"Measure next: {item.meaning}. It narrows {item.narrows} by {item.by:.1f} {item.unit}."))


def _show_dose(answer: Recommendation) -> None:
    """The series of doses, where one was asked."""
    view = dose_view(answer.dose)
    if view is None:
        return
    echo(f"\n{view.title}")
    for line in view.answer:
        echo(remark(line))
    rows = [(row.label, *(_cell(cell) for cell in row.cells)) for row in view.table]
    echo("\n" + plain_table(view.heads, rows))
    for stage in view.stages:
        echo(hanging(f"- {stage.when}: {stage.what} {stage.rule}"))


def _show_ends(answer: Recommendation) -> None:
    """How boards and law stand for today's bill and the bills at the ends of the ranges."""
    view = recommendation_view(answer).advice
    for title, columns, table in (
        ("Boards", view.boards.columns, view.boards.rows),
        *([("Law", view.law.columns, view.law.rows)] if answer.purpose != "beer" else []),
    ):
        rows = [(row.label, *(_cell(cell) for cell in row.cells)) for row in table]
        echo(f"\n{title}")
        echo(plain_table(("", *columns), rows))
    for note in view.boards.notes:
        echo(hanging(f"- {note.title} ({note.bills}): {note.sentence} {note.remedy}".rstrip()))
    for bill in (*view.asked, *view.shown):
        echo(hanging(f"{bill.letter}: {bill.name}. {bill.reason}"))


def _cell(cell: CellView) -> str:
    return f"{cell.text}, {cell.under}" if cell.under else cell.text


def _anchored(anchor: Anchor) -> str:
    """How the plant's figure was used, with the numbers."""
    if not anchor.used or anchor.before is None or anchor.after is None:
        return anchor.sentence
    before, after = with_interval(anchor.before, 1), with_interval(anchor.after, 1)
    return f"{anchor.sentence} Expected from the certificates alone: {before} L/t; with the plant's own: {after} L/t."


def _shown(result: BillResult, key: str, decimals: int) -> str:
    """The middle of a figure, or that it is withheld."""
    return plain(result.figures[key].band.middle, decimals) if key in result.figures else WITHHELD


OF_BEER = (("original_gravity_degP", 1), ("colour_EBC", 0), ("apparent_attenuation_pct", 1), ("cost_per_hL", 2))


def _rows_of_beer(answer: Recommendation) -> list[tuple[str | None, ...]]:
    """Gravity, colour, attenuation and cost of every bill, and what the cost changes."""
    rows: list[tuple[str | None, ...]] = []
    for offer in (None, *(one for _, one in answer.told)):
        result = offer.result if offer else answer.present
        change = offer.changes.get("cost_per_hL") if offer else None
        ends = (change.band.middle, change.band.low, change.band.high) if change else ()
        numbers: list[str | None] = [signed(x, 2) for x in ends]
        numbers = numbers or [WITHHELD if offer else None, None, None]
        rows.append((result.bill.name, *(_shown(result, key, digits) for key, digits in OF_BEER), *numbers))
    return rows


def _rows(answer: Recommendation) -> list[tuple[str | None, ...]]:
    rows: list[tuple[str | None, ...]] = []
    for offer in (None, *(one for _, one in answer.told)):
        result = offer.result if offer else answer.present
        change = offer.changes.get("lpa_per_t") if offer else None
        ends = (change.band.middle, change.band.low, change.band.high) if change else ()
        numbers: list[str | None] = [signed(x, 1) for x in ends]
        numbers = numbers or [WITHHELD if offer else None, None, None]
        shown = [_shown(result, key, digits) for key, digits in (("lpa_per_t", 1), ("cost_per_lpa", 3))]
        rows.append((result.bill.name, *shown, *numbers))
    return rows
