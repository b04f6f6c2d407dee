"""Options and readings that several commands share."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import click

from gristwright.basics import Address, Problem, Refused, Tick
from gristwright.casework.bench import all_problems
from gristwright.cli.echo import echo, first_of_each, progress
from gristwright.cli.tables import remark
from gristwright.cli.told import FILES, all_told, files_of, lots_asked_for
from gristwright.files.certificates import Certificates, map_folders, read_certificates, read_mapping
from gristwright.files.reading import Reading
from gristwright.records.enquiry import BillSheet, Enquiry
from gristwright.records.lot import Lot

A = TypeVar("A", Enquiry, BillSheet)

lots_option = click.option(
    "--lots", type=click.Path(path_type=Path), required=True, help="Certificates of the lots: XLSX, CSV or TOML."
)
map_option = click.option(
    "--map",
    "map_path",
    type=click.Path(path_type=Path),
    help="How the lots are to be read: a map, or a folder of them.",
)
members_option = click.option(
    "--members", type=click.IntRange(8, 16), default=11, show_default=True, help="Draws as a power of two."
)
seed_option = click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Seed of the draws.")


def lots_from(path: Path, map_path: Path | None) -> Reading[tuple[Lot, ...]]:
    """The certificates of a file, read by the map that was named or by those kept of its supplier."""
    return certificates_from(path, map_path).reading


def certificates_from(path: Path, map_path: Path | None) -> Certificates:
    """The same with what was printed and how it was understood. A folder named in place of a map is looked into."""
    if map_path is None:
        return read_certificates(path, None, map_folders(path))
    if map_path.is_dir():
        return _by_folder(path, map_path)
    reading = read_mapping(map_path)
    if reading.value is None or reading.faulty:
        return Certificates(Reading(None, (path, map_path), reading.problems))
    certificates = read_certificates(path, reading.value)
    made = certificates.reading
    return replace(certificates, reading=replace(made, files=(*made.files, map_path)))


def _by_folder(path: Path, folder: Path) -> Certificates:
    """The certificates read by the maps of one folder; that none of them is of this file is told."""
    certificates = read_certificates(path, None, (folder,))
    made = certificates.reading
    if len(made.files) > 1:
        return certificates
    none = Problem(Address(str(folder)), f"holds no map of the supplier that {path.name} names.", warning=True)
    return replace(certificates, reading=replace(made, problems=(*made.problems, none)))


def accept(asked: Reading[A], lots: Reading[tuple[Lot, ...]]) -> tuple[A, tuple[Lot, ...], tuple[Problem, ...]]:
    """Both records and the warnings. Raises Refused with every fault of the files and of what they say together."""
    keep_files(asked)
    if asked.faulty or lots.faulty:
        derived = all_problems(asked.value, lots.value or None)
        raise Refused(all_told(asked, lots, derived, lots_asked_for(asked.value)))
    return asked.accepted(), lots.accepted(), (*asked.problems, *lots.problems)


def keep_files(asked: Reading[A]) -> None:
    """Remember which files a command reads, so that a later refusal is told at its place in them."""
    context = click.get_current_context(silent=True)
    if context is not None:
        context.meta[FILES] = files_of(asked)


def refuse_unwritable(out: Path) -> None:
    """Raise Refused for a folder that cannot be written to, before anything is computed for it."""
    path = out
    while not path.exists() and path != path.parent:
        path = path.parent
    if not path.is_dir():
        what = "is a file, not a folder." if path == out else f"lies below {path}, which is a file."
        raise Refused([Problem(Address(str(out)), what, "Name another folder with --out.")])
    if not os.access(path, os.W_OK | os.X_OK):
        raise Refused([Problem(Address(str(out)), "cannot be written to.", "Name another folder with --out.")])


def _progress(done: int, total: int, note: str) -> None:
    progress(f"{note} {done} of {total}" if note else "")


@contextmanager
def watched() -> Iterator[Tick]:
    """The progress of a job on the terminal, whose line is taken away when it ends, however it ends."""
    try:
        yield _progress
    finally:
        progress("")


def show_cautions(cautions: Sequence[str]) -> None:
    """What to beware of, as sentences below a result."""
    show_warnings([Problem("", text) for text in cautions])


def show_warnings(warnings: Sequence[Problem]) -> None:
    """Warnings as sentences below a result."""
    for sentence in first_of_each([problem.sentence() for problem in warnings]):
        echo("\n" + remark(f"Mind: {sentence}"))
