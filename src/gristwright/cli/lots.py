"""`gristwright lots`: read certificates and say of every figure how it stands. See docs/certificates.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from gristwright.basics import Address, Problem, Refused
from gristwright.cli.compare_lots import compare
from gristwright.cli.echo import echo
from gristwright.cli.inputs import certificates_from, map_option
from gristwright.cli.pictures import read_by_command
from gristwright.cli.tables import as_json, plain_table, problems_data, remark
from gristwright.documents.certificate import LotSheet, certificate_view, lot_sheet
from gristwright.documents.data import as_data
from gristwright.files.certificates import file_name_of, write_mapping
from gristwright.files.writing import refuse_same_file
from gristwright.reference.type_names import type_named

HEADINGS = ("field", "value", "unit", "in the table", "typical", "stands", "cell")


class ReadUnlessNamed(click.Group):
    """A group whose first command is meant when none is named: `lots FILE` is `lots read FILE`."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the first command before arguments that begin with none."""
        if args and args[0] not in self.commands and args[0] not in ("-h", "--help"):
            args = ["read", *args]
        return super().parse_args(ctx, args)


@click.group(cls=ReadUnlessNamed)
def lots() -> None:
    """Certificates of lots: read them, and say how every figure stands.

    `gristwright lots FILE` is short for `gristwright lots read FILE`.
    """


@lots.command()
@click.argument("file", type=click.Path(path_type=Path))
@map_option
@click.option(
    "--save-map",
    type=click.Path(path_type=Path),
    help="Write how the sheet was read: a file, or a folder.",
)
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def read(file: Path, map_path: Path | None, save_map: Path | None, as_data: bool) -> None:
    """Read a FILE of certificates (XLSX, XLS, CSV, TOML): every figure, how it stands, and every sentence about it."""
    certificates = certificates_from(file, map_path)
    if save_map:
        named = dict.fromkeys(lot.material for lot in certificates.reading.value or () if lot.material)
        save(save_map, certificates.mapping, certificates.unknown, [name for name in named if not type_named(name)])
    today = dt.datetime.now(dt.UTC).date()
    sheets = [lot_sheet(lot, certificates.printed, today) for lot in certificates.reading.value or ()]
    problems = list(dict.fromkeys([*certificates.reading.problems, *(p for sheet in sheets for p in sheet.problems)]))
    if as_data:
        echo(as_json(_data(sheets, problems)))
    else:
        _show(sheets, problems)
    faults = [problem for problem in problems if not problem.warning]
    if faults:
        raise Refused(faults)


lots.add_command(compare)


def save(path: Path, mapping: Any, unknown: Sequence[str], types: Sequence[str]) -> None:
    """Write the mapping; into a folder under the name of its supplier. Raises Refused when it cannot be written."""
    path = path / file_name_of(mapping.supplier) if path.is_dir() else path
    if not path.parent.is_dir():
        raise Refused([Problem(Address(str(path)), "cannot be written.", "Give a path in a folder that is there.")])
    refuse_same_file([path], read_by_command())
    write_mapping(path, mapping, unknown, types)


def _show(sheets: list[LotSheet], problems: list[Problem]) -> None:
    for sheet in sheets:
        echo(remark(sheet.title))
        echo(plain_table(HEADINGS, [line.cells for line in sheet.lines]) + "\n")
    for problem in problems:
        if problem.warning:
            echo(remark(f"Mind: {problem.sentence()}") + "\n")


def _data(sheets: list[LotSheet], problems: list[Problem]) -> dict[str, object]:
    return {
        "lots": [as_data(certificate_view(sheet)) for sheet in sheets],
        "problems": problems_data(problems),
    }
