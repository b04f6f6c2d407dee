"""`gristwright lots compare`: one lot exchanged for another in a bill. See docs/trade.md."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from gristwright.basics import Address, Problem, Refused
from gristwright.casework import trade
from gristwright.cli.echo import echo
from gristwright.cli.inputs import accept, lots_from, map_option, members_option, seed_option, show_warnings
from gristwright.cli.tables import as_json, hanging, plain_table, remark
from gristwright.documents.lot_comparison import comparison_view
from gristwright.files.jobs_in import read_bill
from gristwright.files.reading import Reading
from gristwright.quantities.shown import WITHHELD, plain, signed
from gristwright.records.lot import Lot
from gristwright.records.trade import AnalysisDifference, LotComparison

ENDINGS = (".csv", ".tsv", ".txt", ".tab", ".toml", ".xlsx", ".xls")


@click.command()
@click.argument("old")
@click.argument("new")
@click.option("--bill", type=click.Path(path_type=Path), required=True, help="The bill that holds the old lot.")
@click.option("--lots", type=click.Path(path_type=Path), help="Certificates; needed unless OLD and NEW are files.")
@map_option
@members_option
@seed_option
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def compare(
    old: str,
    new: str,
    bill: Path,
    lots: Path | None,
    map_path: Path | None,
    members: int,
    seed: int,
    as_data: bool,
) -> None:
    """Exchange lot OLD for NEW in a bill at the same share: what changes, what to adjust, what to measure.

    OLD and NEW are names of lots in the file of --lots, or files of one lot each.
    """
    given, old_id, new_id = gathered(old, new, lots, map_path)
    sheet, certificates, warnings = accept(read_bill(bill), given)
    comparison = trade.compare(sheet, certificates, old_id, new_id, members=2**members, seed=seed)
    if as_data:
        echo(as_json(comparison_view(comparison, warnings)))
        return
    show(comparison)
    show_warnings([*warnings, *(Problem("", text) for text in comparison.warnings)])


def is_file(word: str) -> bool:
    """Whether an argument names a file and not a lot."""
    return word.lower().endswith(ENDINGS)


def gathered(
    old: str, new: str, lots: Path | None, map_path: Path | None = None
) -> tuple[Reading[tuple[Lot, ...]], str, str]:
    """All lots in one reading, and what the two are called in it.

    A lot in a file of its own goes before one of the same name in --lots; a new one named like the old one gets
    " (new)" behind its name. Raises Refused when a lot cannot be found.
    """
    if lots is None and not (is_file(old) and is_file(new)):
        way_out = "Add --lots FILE, or give two files of one lot each."
        raise Refused([Problem("lots", f"{old!r} and {new!r} name lots, and no file of lots is given.", way_out)])
    if old == new:
        raise Refused([Problem("NEW", f"{new!r} is the lot it is compared with.", "Name another lot.")])
    readings = [lots_from(lots, map_path)] if lots else []
    pair: list[Lot | None] = []
    for word in (old, new):
        reading, lot = _single(Path(word), map_path) if is_file(word) else (None, None)
        readings += [reading] if reading else []
        pair.append(lot)
    first, second = pair
    old_id, new_id = first.lot_id if first else old, second.lot_id if second else new
    if second is not None and new_id == old_id:
        new_id = f"{new_id} (new)"
        second = replace(second, lot_id=new_id)
    own = [lot for lot in (first, second) if lot is not None]
    named = {lot.lot_id for lot in own}
    listed = readings[0].value or () if lots else ()
    every = (*(lot for lot in listed if lot.lot_id not in named), *own)
    problems = tuple(problem for reading in readings for problem in reading.problems)
    return Reading(every, tuple(path for reading in readings for path in reading.files), problems), old_id, new_id


def _single(path: Path, map_path: Path | None) -> tuple[Reading[tuple[Lot, ...]], Lot | None]:
    """The one lot of a file; a file of several or none adds its fault."""
    reading = lots_from(path, map_path)
    held = reading.value or ()
    if len(held) == 1 or reading.faulty:
        return reading, held[0] if held else None
    names = ", ".join(lot.lot_id for lot in held)
    fault = Problem(
        Address(path.name), f"holds {len(held)} lots where one is wanted.", f"Use --lots and a name: {names}."
    )
    return replace(reading, problems=(*reading.problems, fault)), held[0] if held else None


def show(comparison: LotComparison) -> None:
    """The comparison on a terminal."""
    echo(
        f"{comparison.new_id} for {comparison.old_id}, {plain(comparison.share_pct, 2)} % of the grist; new less old\n"
    )
    rows = [
        (
            figure.label,
            figure.unit,
            *(signed(x, figure.decimals) for x in (figure.band.low, figure.band.middle, figure.band.high)),
            "no sure change" if figure.band.includes_zero else "",
        )
        for figure in comparison.changes.values()
    ]
    rows += [
        (label, unit, "", WITHHELD, "", "")
        for _, label, unit in (comparison.withheld.names if comparison.withheld else ())
    ]
    echo(plain_table(("", "unit", "low", "middle", "high", ""), rows))
    if comparison.withheld is not None:
        echo(remark(comparison.withheld.sentence))
    echo("\nTo adjust" if comparison.adjust else "\nNothing is known that would have to be adjusted.")
    for line in comparison.adjust:
        echo(hanging(line, "  "))
    echo("\nCertificates")
    echo(plain_table(("field", "unit", "old", "new", "two labs may differ by", ""), map_rows(comparison)))
    for board in comparison.boards:
        echo("\n" + remark(f"{board.title}: {board.old.value} before, {board.new.value} now. {board.sentence}"))
    for item in comparison.measure_next:
        echo("\n" + remark(f"Measure next: {item.meaning}. It narrows {item.narrows} by {item.by:.1f} L/t."))
    for note in comparison.notes:
        echo("\n" + remark(note))


def map_rows(comparison: LotComparison) -> list[tuple[str | float | None, ...]]:
    """The rows of the table of certificates."""
    return [(d.title, d.unit, _short(d.old), _short(d.new), _short(d.limit), _said(d)) for d in comparison.differences]


def _short(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.4g}")


def _said(line: AnalysisDifference) -> str:
    if line.beyond is None:
        return "no spread on file"
    return "differs" if line.beyond else ""
