"""Options and readings that several commands share."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

import click

from gristwright.basics import Problem, Refused
from gristwright.casework.bench import all_problems
from gristwright.cli.tables import remark
from gristwright.files.certificates import read_lots, read_mapping
from gristwright.files.reading import Reading
from gristwright.records.enquiry import BillSheet, Enquiry
from gristwright.records.lot import Lot

A = TypeVar("A", Enquiry, BillSheet)

lots_option = click.option(
    "--lots", type=click.Path(path_type=Path), required=True, help="Certificates of the lots: XLSX, CSV or TOML."
)
map_option = click.option(
    "--map", "map_path", type=click.Path(path_type=Path), help="How the certificates are to be read, TOML."
)
members_option = click.option(
    "--members", type=click.IntRange(8, 16), default=11, show_default=True, help="Draws as a power of two."
)
seed_option = click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Seed of the draws.")


def lots_from(path: Path, map_path: Path | None) -> Reading[tuple[Lot, ...]]:
    """The certificates of a file, read by a saved map when there is one."""
    return read_lots(path, read_mapping(map_path).accepted() if map_path else None)


def accept(asked: Reading[A], lots: Reading[tuple[Lot, ...]]) -> tuple[A, tuple[Lot, ...], tuple[Problem, ...]]:
    """Both records and the warnings. Raises Refused with every fault of the files and of what they say together."""
    if asked.faulty or lots.faulty:
        problems = [*asked.problems, *lots.problems, *all_problems(asked.value, lots.value)]
        raise Refused(list(dict.fromkeys(problems)))
    return asked.accepted(), lots.accepted(), (*asked.problems, *lots.problems)


def show_cautions(cautions: Sequence[str]) -> None:
    """What to beware of, as sentences below a result."""
    show_warnings([Problem("", text) for text in cautions])


def show_warnings(warnings: Sequence[Problem]) -> None:
    """Warnings as sentences below a result."""
    for problem in warnings:
        click.echo("\n" + remark(f"Mind: {problem.sentence()}"))
