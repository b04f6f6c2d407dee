"""Options and readings that several commands share."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

import click

from gristwright.basics import Problem, Refused
from gristwright.cli.tables import remark

A = TypeVar("A")
B = TypeVar("B")

lots_option = click.option(
    "--lots", type=click.Path(path_type=Path), required=True, help="Certificates of the lots, CSV or TOML."
)
members_option = click.option(
    "--members", type=click.IntRange(8, 16), default=11, show_default=True, help="Draws as a power of two."
)
seed_option = click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Seed of the draws.")


def both(first: Callable[[], A], second: Callable[[], B]) -> tuple[A, B]:
    """Read two things and refuse with the faults of both together."""
    problems: list[Problem] = []
    results = []
    for read in (first, second):
        try:
            results.append(read())
        except Refused as refused:
            problems += refused.problems
    if problems:
        raise Refused(problems)
    return results[0], results[1]  # type: ignore[return-value]


def show_warnings(warnings: Sequence[Problem]) -> None:
    """Warnings as sentences below a result."""
    for problem in warnings:
        click.echo("\n" + remark(f"Mind: {problem.sentence()}"))
