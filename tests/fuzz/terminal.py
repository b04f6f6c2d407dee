"""Every command of the terminal in this process: its options, its arguments and the files that it reads are spoilt."""

from __future__ import annotations

import contextlib
import csv
import io
import os
import sys
import tomllib
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any
from unittest import mock

import click
from hypothesis import strategies as st

from fuzz.drawing import ONE_VALUE, edits
from fuzz.hostile import spoilt, written
from fuzz.readers import SEEDS, path_of
from fuzz.watch import Found, odd_characters, strict_json
from gristwright.cli.main import cli, main

HOUSE = "all-malt-pot"
FEW = ("--members", "8")
LOTS = ("--lots", "lots.csv")
# Command lines that work, the folder whose files they name, and what makes them slow.
LINES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (HOUSE, ("check", "bill.toml", *LOTS)),
    (HOUSE, ("check", "bill.toml", *LOTS, "--json")),
    ("strong-raw-barley-beer", ("check", "bill.toml", *LOTS, "--json")),
    (HOUSE, ("run", "bill.toml", *LOTS, *FEW, "--json")),
    ("lauter-rests-sparge", ("run", "bill.toml", *LOTS, *FEW)),
    ("all-rye", ("run", "on-grain-in.toml", *LOTS, *FEW, "--json")),
    ("strong-raw-barley-beer", ("run", "bill.toml", *LOTS, *FEW)),
    (HOUSE, ("run", "bill.toml", *LOTS, *FEW, "--stage", "mash", "--json")),
    ("lauter-rests-sparge", ("run", "bill.toml", *LOTS, *FEW, "--stage", "mash")),
    (HOUSE, ("order", "bill.toml", *LOTS, *FEW, "--json")),
    ("two-smokes", ("order", "bill.toml", *LOTS, *FEW, "--language", "de")),
    (HOUSE, ("vary", "bill.toml", *LOTS, "--members", "7", "--over", "mash.settled_degC=62:66:2", "--json")),
    (HOUSE, ("vary", "bill.toml", *LOTS, "--members", "7", "--over", "mash.liquor_L_per_kg=3,4", "--csv", "grid.csv")),
    (HOUSE, ("law", "bill.toml", *LOTS, "--all")),
    (HOUSE, ("law", "bill.toml", *LOTS, "--category", "EU_WHISKY", "--on", "2026-11-25", "--json")),
    (HOUSE, ("specify", "bill.toml", *LOTS, *FEW, "--value-per-lpa", "3.20", "--json")),
    (HOUSE, ("lots", "read", "lots.csv")),
    (HOUSE, ("lots", "read", "lots.csv", "--json", "--save-map", "map.toml")),
    ("seeds", ("lots", "read", "certificate.csv", "--map", "map.toml")),
    (HOUSE, ("lots", "compare", "PD-1", "PD-2", "--bill", "bill.toml", *LOTS, *FEW, "--json")),
    (HOUSE, ("ageing", "markers", "--bill", "bill.toml", *LOTS, "--json")),
    (HOUSE, ("ageing", "markers", "smoked", "--smoke", "peat", "--lpa", "410", "--abv", "68", "--malt", "phenols=54",
             "--lab", "phenols=54:24", "--years", "10", "--store", "3", "--share", "50", "--cut", "60", "--json")),
    ("ageing-programme", ("ageing", "claim", "ladder.csv", "arms.csv", "--claim", "3:6-8", "--json")),
    ("ageing-programme", ("ageing", "claim", "ladder.csv", "other-wood.csv", "--claim", "3:6-8", "--count", "colour",
                          "--model", "line", "--confidence", "0.9", "--title", "Trial")),
    (HOUSE, ("ageing", "plan", "--claim", "3:6-8", "--cask-cost", "900", "--analysis-cost", "180", "--json")),
    (HOUSE, ("types", "pale_distilling_malt", "--json")),
    (HOUSE, ("schema", "bill")),
    (HOUSE, ("convert", "317", "degWK", "degLintner", "--json")),
    (HOUSE, ("convert", "1.5", "%", "ppm")),
    (HOUSE, ("gauge", "density", "--abv", "63.5", "--temp", "15.5", "--json")),
    (HOUSE, ("gauge", "strength", "--density", "912", "--json")),
    (HOUSE, ("gauge", "strength", "--reading", "62", "--temp", "60F")),
    (HOUSE, ("gauge", "reduce", "--litres", "100", "--from", "63.5", "--to", "46", "--json")),
    (HOUSE, ("gauge", "lpa", "--weighed-kg", "220", "--abv", "125 US proof", "--json")),
    (HOUSE, ("gauge", "proof", "--abv", "57.1", "--json")),
    (HOUSE, ("gauge", "vat", "100@63.5", "200@58@15C", "53 US gal@125 US proof@60F", "--json")),
    ("seeds", ("cask", "forecast", "casks.csv", "--climate", "12 degC 75 %", "--on", "2026-11-25", "--years", "3",
               "--draws", "16", "--abv", "46", "--value-per-lpa", "12", "--casks", "--json")),
    ("seeds", ("cask", "regauge", "casks.csv", "--climate", "12 degC 75 %", "--on", "2026-11-25", "--draws", "16",
               "--json")),
    ("seeds", ("cask", "vat", "casks.csv", "--climate", "12 degC 75 %", "--on", "2026-11-25", "--draws", "16",
               "--litres", "300", "--abv", "46", "--youngest", "3", "--json")),
    ("cask-stock", ("cask", "regauge", "casks.csv", "--climate", "store.csv", "--on", "2026-11-25", "--draws", "16")),
    ("cask-stock", ("cask", "forecast", "casks.csv", "--climate", "store.csv", "--on", "2026-11-25", "--years", "2",
                    "--draws", "16", "--rates", "rates.csv")),
    ("cask-stock", ("cask", "fill-for", "--bottles", "20000", "--abv", "46", "--year", "2035", "--climate", "store.csv",
                    "--store", "Low store", "--ledger", "casks.csv", "--on", "2026-11-25", "--json")),
)  # fmt: skip
# Commands that open a desk, or ask its owner in person: what they are given is read, and nothing is done.
READ_ONLY = ("serve", "desk")


def commands(group: click.Group = cli, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Every command by the words that call it."""
    for name in group.list_commands(click.Context(group)):
        inner = group.get_command(click.Context(group), name)
        if isinstance(inner, click.Group):
            yield from commands(inner, (*path, name))
        elif inner is not None:
            yield (*path, name)


READ: tuple[tuple[str, tuple[str, ...]], ...] = tuple((HOUSE, path) for path in commands() if path[0] in READ_ONLY)
# Those that draw pictures or set paper: each takes a second or more.
DRAWN: tuple[tuple[str, tuple[str, ...]], ...] = (
    (HOUSE, ("advise", "enquiry.toml", *LOTS, *FEW, "--json")),
    ("strong-raw-barley-beer", ("advise", "enquiry.toml", *LOTS, *FEW, "--language", "de")),
    ("two-smokes", ("advise", "enquiry.toml", *LOTS, *FEW)),
    (HOUSE, ("order", "bill.toml", *LOTS, *FEW, "--out", "order.pdf", "--paper", "letter")),
    (HOUSE, ("specify", "bill.toml", *LOTS, *FEW, "--out", "specification.pdf")),
    (HOUSE, ("run", "bill.toml", *LOTS, *FEW, "--stage", "mash", "--chart", "mash.svg")),
    (HOUSE, ("vary", "bill.toml", *LOTS, "--members", "7", "--over", "mash.settled_degC=62:66:2", "--chart", "g.svg")),
    ("ageing-programme", ("ageing", "claim", "ladder.csv", "arms.csv", "--claim", "3:6-8", "--chart")),
    ("seeds", ("cask", "statement", "casks.csv", "A-2", "--climate", "12 degC 75 %", "--on", "2026-11-25", "--years",
               "3", "--draws", "16")),
    ("cask-stock", ("cask", "forecast", "casks.csv", "--climate", "store.csv", "--on", "2026-11-25", "--years", "2",
                    "--draws", "16", "--chart")),
)  # fmt: skip
# Those that compute little.
SLOW = ("check", "run", "order", "vary", "specify", "compare", "claim", "plan", "vat", "fill-for", "--bill")
QUICK = tuple(line for line in (*LINES, *READ) if not set(SLOW) & set(line[1]) or line[1][0] == "gauge")
OUTSIDE = ("README.md", "make.py", "make_stock.py")
# What is done to the words of a command line.
CHANGES = ("value", "value", "option", "out", "doubled", "swapped")


@cache
def _read_only() -> tuple[click.Command, ...]:
    """The commands of which only the reading of what they are given is tried."""
    return tuple(_command(path) for path in commands() if path[0] in READ_ONLY)


def _command(words: tuple[str, ...]) -> click.Command:
    """The command that the first of the words call."""
    command: click.Command = cli
    context = click.Context(cli)
    for word in words:
        inner = command.get_command(context, word) if isinstance(command, click.Group) else None
        if inner is None:
            break
        command = inner
    return command


@cache
def options_of(words: tuple[str, ...]) -> tuple[click.Option, ...]:
    """The options of the command that a line calls."""
    return tuple(param for param in _command(words).params if isinstance(param, click.Option))


def cases(lines: tuple[tuple[str, tuple[str, ...]], ...] = (*LINES, *READ)) -> st.SearchStrategy[dict[str, Any]]:
    """A line that works, changes of its words, and edits of one of its files."""
    place = st.integers(0, 30)
    changes = st.lists(st.tuples(st.sampled_from(CHANGES), place, place, ONE_VALUE), max_size=3)
    return st.fixed_dictionaries(
        {
            "line": st.sampled_from(lines).map(lambda line: [line[0], list(line[1])]),
            "words": changes,
            "file": st.integers(0, 12),
            "edits": st.one_of(st.just([]), edits(most=2), edits(("value", "word"), most=2)),
        }
    )


def words_of(case: dict[str, Any]) -> list[str]:
    """The words of the line after its changes."""
    words = list(case["line"][1])
    options = options_of(tuple(words))
    for what, here, there, value in case["words"]:
        # The name of the command stays: what is behind it is tried, not that names are known.
        at = 1 + here % max(1, len(words) - 1)
        if what == "value" and at < len(words):
            words[at] = written(value)
        elif what == "option" and options:
            words += _given(options[here % len(options)], there, written(value))
        elif what == "out" and at < len(words):
            del words[at]
        elif what == "doubled" and at < len(words):
            words.insert(at, words[at])
        elif what == "swapped" and at < len(words):
            other = 1 + there % (len(words) - 1)
            words[at], words[other] = words[other], words[at]
    # No argument of a program holds a NUL, and none is so long that a system would not hand it over.
    return [word.replace("\0", "")[:100_000] for word in words]


def _given(option: click.Option, there: int, value: str) -> list[str]:
    """An option with a value of its kind, or with the one drawn."""
    name, kind = option.opts[0], option.type
    if option.is_flag:
        return [name]
    if isinstance(kind, click.Choice) and there % 2:
        return [name, str(list(kind.choices)[there % len(kind.choices)])]
    if isinstance(kind, click.IntRange) and there % 2:
        ends = [end + step for end in (kind.min, kind.max) if end is not None for step in (-1, 0, 1)]
        # The most draws of a bill take longer than a case may; that they are taken is no question of input.
        ends = [end for end in ends if end < 13 or name not in ("--members",)]
        return [name, str(ends[there % len(ends)])] if ends else [name, value]
    if isinstance(kind, click.Path) and there % 2:
        return [name, ("lots.csv", "bill.toml", ".", "new/deep", "out", "lots.csv/x")[there % 6]]
    return [name, value]


def run(case: dict[str, Any], folder: Path) -> str:
    """Run the line; "accepted" for exit code 0 or 1, "refused" for 2."""
    before = lay_out(case, folder)
    words = words_of(case)
    said, warned = _Stream(), _Stream()
    with contextlib.ExitStack() as around:
        for one in (_standing_in(folder), contextlib.redirect_stdout(said), contextlib.redirect_stderr(warned)):
            around.enter_context(one)
        around.enter_context(mock.patch.object(sys, "stdin", io.StringIO("")))
        for command in _read_only():
            around.enter_context(mock.patch.object(command, "callback"))
        code = main(words)
    text, errors = said.text(), warned.text()
    if code not in (0, 1, 2):
        raise Found("an exit code of no meaning", str(code))
    if odd := odd_characters(text) or odd_characters(errors):
        raise Found("control characters on the terminal", f"{', '.join(odd)} of {words!r}"[:300])
    if code == 2 and not errors.strip():
        raise Found("refused without a word", repr(words)[:300])
    if "Traceback" in errors:
        raise Found("a traceback on the terminal", errors[-300:])
    if code != 2 and "--json" in words and text.strip() and words[-1] != "--help":
        strict_json(text)
    look_at_files(folder, before, code, words)
    return "refused" if code == 2 else "accepted"


def lay_out(case: dict[str, Any], folder: Path) -> set[Path]:
    """The files of the line, one of them spoilt; all that was there before it ran."""
    name = case["line"][0]
    for path in sorted((SEEDS if name == "seeds" else path_of(name)).iterdir()):
        if path.name not in OUTSIDE and path.is_file():
            content = path.read_bytes()
            lines = content.splitlines(keepends=True)
            # A long ledger stands for itself with its first lines.
            (folder / path.name).write_bytes(b"".join(lines[:40]) if len(content) > 20_000 else content)
    named = [word for word in case["line"][1] if (folder / word).is_file()]
    if "bill.toml" in named or "enquiry.toml" in named:
        named.append("plant.toml")
    if named and case["edits"]:
        path = folder / named[case["file"] % len(named)]
        path.write_bytes(spoilt(path.read_bytes(), case["edits"]))
    return set(folder.rglob("*"))


def look_at_files(folder: Path, before: set[Path], code: int, words: list[str]) -> None:
    """Raise Found for a file that is half there, was left by a refusal, or cannot be read as what it says it is."""
    new = [path for path in sorted(set(folder.rglob("*")) - before) if path.is_file()]
    # A map is saved of a file with faults too: it is what they are mended with.
    if code == 2 and new and "--save-map" not in words:
        raise Found("refused, and a file was left", f"{', '.join(p.name for p in new)} of {words!r}"[:300])
    for path in new:
        fault = _unreadable(path, path.read_bytes())
        if fault:
            raise Found("a file that cannot be read", f"{path.name}: {fault}"[:300])


def _unreadable(path: Path, content: bytes) -> str:
    """Why a file is not what its name says; nothing where it is."""
    try:
        match path.suffix:
            case ".json":
                strict_json(content.decode())
            case ".pdf" if not (content.startswith(b"%PDF") and b"%%EOF" in content[-1024:]):
                return "no PDF"
            case ".svg":
                ElementTree.fromstring(content)
            case ".toml":
                tomllib.loads(content.decode())
            case ".csv":
                list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
    except (ValueError, ElementTree.ParseError, csv.Error) as error:
        return f"{type(error).__name__}: {error}"
    return ""


class _Stream(io.TextIOWrapper):
    """What a program writes, as a terminal of UTF-8 gets it."""

    def __init__(self) -> None:
        super().__init__(io.BytesIO(), encoding="utf-8", errors="surrogateescape", newline="")

    def text(self) -> str:
        """All that was written."""
        self.flush()
        held = self.buffer
        assert isinstance(held, io.BytesIO)
        return held.getvalue().decode("utf-8", "surrogateescape")


@contextlib.contextmanager
def _standing_in(folder: Path) -> Iterator[None]:
    """The folder of a case as the one where the person stands."""
    before = Path.cwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)
