"""`gristwright law`: what a bill may be called, category by category. See docs/law.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from itertools import groupby
from pathlib import Path

import click

from gristwright.basics import Verdict
from gristwright.casework import bench
from gristwright.casework.bench import LawOfBill, basis_words
from gristwright.cli.echo import echo
from gristwright.cli.inputs import accept, lots_from, lots_option, map_option, show_warnings
from gristwright.cli.numbers import DAY
from gristwright.cli.tables import as_json, hanging, plain_table, remark
from gristwright.documents.law import law_view
from gristwright.documents.lots import lots_in
from gristwright.files.jobs_in import read_bill
from gristwright.quantities.shown import plain
from gristwright.records.law import CategoryAnswer
from gristwright.rules import law as rules
from gristwright.rules.hazard import cautions


@click.command()
@click.argument("bill", type=click.Path(path_type=Path))
@lots_option
@map_option
@click.option("--category", "categories", multiple=True, help="Key of a category, in place of these; again for more.")
@click.option("--all", "every", is_flag=True, help="Every category of every market.")
@click.option("--on", type=DAY, help="Day whose rules count; the bill's date when not given.")
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def law(
    bill: Path,
    lots: Path,
    map_path: Path | None,
    categories: tuple[str, ...],
    every: bool,
    on: dt.datetime | None,
    as_data: bool,
) -> None:
    """What a BILL may be called: the names it asks for, and those of its house's country and of its markets.

    Shares are judged as weighed and dry. Not legal advice.
    """
    sheet, given, warnings = accept(read_bill(bill), lots_from(lots, map_path))
    judged = bench.law_of_bill(sheet, given, categories, on.date() if on else None, every)
    if as_data:
        echo(as_json(law_view(judged, lots_in(sheet.bill, given), warnings)))
        return
    show(judged, whole=every)
    show_warnings([*warnings, *judged.warnings])


def show(judged: LawOfBill, whole: bool = False) -> None:
    """What hangs on the basis, the shares, the verdicts, then what must be confirmed, once each.

    `whole` shows every answer by market; else names judged unasked that fail, or that a better one covers, are a line.
    """
    echo(f"{judged.bill}, by the rules of {judged.on}\n")
    for sentence in basis_words(judged.asked, judged.beside):
        echo(f"{hanging(sentence)}\n")
    rows = [
        (s.lot_id, s.title, plain(s.asis_pct, 2), "not known" if s.dry_pct is None else plain(s.dry_pct, 2))
        for s in judged.shares
    ]
    if rows:
        echo(plain_table(("lot", "what", "% as is", "% dry"), rows))
    shown = _show_by_market(judged) if whole else _show_fitting(judged)
    _show_once("To be confirmed by a licensed person", _flags(shown))
    _show_once("Mind", _notes(shown))
    for note in judged.notes:
        echo("\n" + remark(note))
    if judged.answers:
        echo("\n" + remark(" ".join(caution.text for caution in cautions("label"))))


def _show_by_market(judged: LawOfBill) -> tuple[CategoryAnswer, ...]:
    """Every answer under its market, in the order of the book."""
    order = [key for key, _, _ in rules.categories()]
    answers = sorted(judged.answers, key=lambda answer: order.index(answer.category))
    for market, of_market in groupby(answers, key=lambda answer: answer.market):
        echo(f"\n{market}")
        for answer in of_market:
            _show_category(answer)
    return tuple(answers)


def _show_fitting(judged: LawOfBill) -> tuple[CategoryAnswer, ...]:
    """Names asked for, the best that fit beside them, and the others by their titles."""
    found = rules.fitting(judged.asked, judged.beside)
    left = list(found.covered)
    for heading, answers in (("Asked for", found.asked), ("For the house and its markets", found.best)):
        if answers:
            echo(f"\n{heading}")
        for answer in answers:
            _show_category(answer)
            covered = [one for one in left if rules.covers(answer, one)]
            left = [one for one in left if one not in covered]
            if covered:
                echo(hanging(f"with it: {'; '.join(one.title for one in covered)}", "    "))
    if found.fails:
        echo("\n" + hanging(found.fails_in_short))
    if not judged.answers and not judged.notes:
        echo("\nNo category is asked for. Name markets in the bill, or use --all.")
    return (*found.asked, *found.best)


def _show_category(answer: CategoryAnswer) -> None:
    head = f"{answer.verdict.value.upper()}  {answer.category}: {answer.title}; text of {answer.version_date}"
    echo(hanging(head, "  "))
    for rule in answer.answers:
        if rule.verdict is not Verdict.PASS:
            echo(hanging(f"{rule.rule_id} {rule.verdict.value}: {rule.told}", "    "))
    if answer.verdict is Verdict.PASS:
        echo("    every rule that a plan can be judged by is met")


def _flags(answers: Iterable[CategoryAnswer]) -> dict[str, list[str]]:
    """Each reading of ours with the rules it bears on."""
    flags: dict[str, list[str]] = {}
    for answer in answers:
        for rule in answer.answers:
            if rule.flag and rule.rule_id not in flags.setdefault(rule.flag, []):
                flags[rule.flag].append(rule.rule_id)
    return flags


def _notes(answers: Iterable[CategoryAnswer]) -> dict[str, list[str]]:
    """Each warning with the categories it belongs to."""
    notes: dict[str, list[str]] = {}
    for answer in answers:
        for warning in answer.warnings:
            notes.setdefault(warning, []).append(answer.category)
    return notes


def _show_once(heading: str, lines: dict[str, list[str]]) -> None:
    if lines:
        echo(f"\n{heading}")
    for text, where in lines.items():
        echo(hanging(f"{', '.join(where)}: {text}", "  "))
