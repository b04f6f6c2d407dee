"""`gristwright specify`: a purchase specification as PDF and JSON out of a bill. See docs/trade.md."""

from __future__ import annotations

from pathlib import Path

import click

from gristwright.basics import Problem
from gristwright.casework import trade
from gristwright.cli.echo import echo
from gristwright.cli.inputs import (
    accept,
    lots_from,
    lots_option,
    map_option,
    members_option,
    refuse_unwritable,
    seed_option,
    show_warnings,
)
from gristwright.cli.numbers import NUMBER
from gristwright.cli.tables import as_json, plain_table, remark
from gristwright.documents.specification import specification_view, write_specification
from gristwright.files.jobs_in import read_bill
from gristwright.files.provenance import fingerprints
from gristwright.quantities.shown import plain, signed
from gristwright.records.trade import LotSpecification, Specification, SpecLine


@click.command()
@click.argument("bill", type=click.Path(path_type=Path))
@lots_option
@map_option
@click.option("--out", type=click.Path(path_type=Path), default=Path("out"), show_default=True, help="Folder to write.")
@click.option(
    "--value-per-lpa", type=NUMBER, help="What a litre of pure alcohol of new spirit is worth; its malt when not given."
)
@members_option
@seed_option
@click.option("--json", "as_data", is_flag=True, help="Print the specification as JSON instead of the summary.")
def specify(
    bill: Path,
    lots: Path,
    map_path: Path | None,
    out: Path,
    value_per_lpa: float | None,
    members: int,
    seed: int,
    as_data: bool,
) -> None:
    """What to ask of each lot of a BILL when buying it, and what one unit more or less is worth.

    Writes specification.pdf and specification.json into the folder of --out.
    """
    refuse_unwritable(out)
    reading = read_bill(bill)
    certificates = lots_from(lots, map_path)
    sheet, given, warnings = accept(reading, certificates)
    inputs = fingerprints([*reading.files, *certificates.files])
    spec = trade.specify(sheet, given, value_per_lpa, inputs, warnings, members=2**members, seed=seed)
    paths = write_specification(spec, out)
    if as_data:
        echo(as_json(specification_view(spec)))
        return
    show(spec)
    show_warnings([Problem("", text) for text in spec.warnings])
    echo("\n" + "\n".join(f"Written: {path}" for path in paths))


def show(spec: Specification) -> None:
    """The lines of every lot on a terminal."""
    echo(remark(spec.value_words))
    for lot in spec.lots:
        echo(f"\n{lot.lot_id}, {lot.title}, {plain(lot.share_pct, 2)} % of the grist")
        rows = [_row(line) for line in lot.lines]
        echo(plain_table(("field", "unit", "least", "most", "has", "one unit more"), rows))
        echo(_contaminants(lot))
        if lot.misses:
            echo(remark(f"The certificate lies outside: {', '.join(lot.misses)}."))
    echo("\n" + remark(spec.notes[0]))


def _row(line: SpecLine) -> tuple[str | float | None, ...]:
    worth = f"{signed(line.worth.band.middle, 2)} {line.worth.unit}" if line.worth else ""
    needless = line.how if line.least is None and line.most is None else ""
    has = None if line.certificate is None else float(f"{line.certificate:.4g}")
    least = None if line.least is None else float(f"{line.least:.3g}")
    return line.title, line.unit, least, line.most, has, worth or needless


def _contaminants(lot: LotSpecification) -> str:
    asked = [f"{line.title} {line.most:g} {line.unit} ({line.standing})" for line in lot.contaminants]
    return remark(f"At most: {'; '.join(asked)}.")
