"""Rows of tests/outside/*.csv, how each comes out, and docs/evidence.md made from them.

Run `python tests/outside/evidence.py` to write the page, with `--check` to learn whether it is current.
"""

from __future__ import annotations

import csv
import importlib
import json
import math
import sys
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parent
PAGE = HERE.parents[1] / "docs" / "evidence.md"
COLUMNS = ["id", "what", "call", "arguments", "expected", "tolerance"]
COLUMNS += ["source", "where", "standing", "used_to_fit", "outcome", "note", "quantity"]
GROUPS = {
    "validation": "published, and no model was fitted to it or chosen on it",
    "published, used": "published, but a model was fitted to it, chosen on it, or shares its formula",
    "practice": "common practice or from memory",
    "arithmetic": "derived: worked by hand, arithmetic on published factors",
}
GUIDE = """\
A row compares one number of the package with one number from outside. Only the first group is evidence that the package
is right about the world: those numbers were published by others and no model was fitted to them or chosen on them. The
second group shows that a fit was made as described, or that a table was copied without a slip. The third is what the
trade says without a source, or what was remembered and not seen. The last is arithmetic and shows only that a formula
is coded as written. The tolerance of a row is the rounding or the stated error of its source and is never widened: a
row that does not come out is kept, its miss is printed first, and the test run fails when a miss quietly turns into a
hit or a hit into a miss. A miss does not always speak against the package: some sources are rounded, misprinted or
disagree with themselves, and the reason given says which is thought likely. A high count proves little where the rows
are alike: look at what a room has been compared with, and at what it has not."""


@dataclass(frozen=True)
class Row:
    """One outside number and the call that should give it."""

    room: str
    id: str
    what: str
    call: str
    arguments: str
    expected: float
    tolerance: float
    source: str
    where: str
    standing: str
    used_to_fit: str
    outcome: str
    note: str
    quantity: str = ""

    @property
    def group(self) -> str:
        """Which of the four groups the row is counted in."""
        if self.standing == "published":
            return "validation" if self.used_to_fit == "no" else "published, used"
        return "practice" if self.standing in ("common practice", "from memory", "estimate") else "arithmetic"

    def computed(self) -> float:
        """What the package gives."""
        module, _, name = self.call.rpartition(".")
        return float(getattr(importlib.import_module(module), name)(**json.loads(self.arguments)))

    def agrees(self, value: float) -> bool:
        """Whether a value lies within the tolerance; a hair wider, for the last bit of a float."""
        return abs(value - self.expected) <= self.tolerance + 1e-12 * max(1.0, abs(self.expected))


def rows_of(path: Path) -> list[Row]:
    """The rows of one file; the room is the file's name."""
    with path.open(encoding="utf-8", newline="") as lines:
        reader = csv.DictReader(lines)
        if reader.fieldnames != COLUMNS:
            raise ValueError(f"{path.name}: columns are {reader.fieldnames}, not {COLUMNS}")
        return [_row(path.stem, cells) for cells in reader]


def _row(room: str, cells: dict[str, str]) -> Row:
    numbers = {name: float(cells.pop(name)) for name in ("expected", "tolerance")}
    return Row(room=room, **cells, **numbers)  # type: ignore[arg-type]


def all_rows() -> list[Row]:
    """Every row of every file, files by name."""
    return [row for path in sorted(HERE.glob("*.csv")) for row in rows_of(path)]


def shown(value: float, tolerance: float) -> str:
    """A computed value to one digit beyond the tolerance, so that the page is the same on every machine."""
    if not math.isfinite(value):
        return str(value)
    places = 3 if tolerance <= 0 else max(0, 1 - math.floor(math.log10(tolerance)))
    return f"{value:.{min(places, 10)}f}"


def _cell(text: str) -> str:
    return text.replace("|", "/").replace("\n", " ")


def _table(headings: Iterable[str], lines: Iterable[Iterable[str]]) -> list[str]:
    headings = list(headings)
    out = ["| " + " | ".join(headings) + " |", "|" + " --- |" * len(headings)]
    return out + ["| " + " | ".join(_cell(cell) for cell in line) + " |" for line in lines]


def _counts(rows: list[Row]) -> list[str]:
    rooms = sorted({row.room for row in rows})
    lines = []
    for room in [*rooms, "all"]:
        mine = [row for row in rows if room in ("all", row.room)]
        cells = [_tally([row for row in mine if row.group == group]) for group in GROUPS]
        lines.append([room, *cells])
    return _table(["room", *GROUPS], lines)


def _tally(rows: list[Row]) -> str:
    if not rows:
        return "-"
    return f"{sum(row.outcome == 'holds' for row in rows)} of {len(rows)}"


def _details(rows: list[Row]) -> list[str]:
    headings = ["what", "outside", "within", "here", "source", "remark"]
    lines = []
    for row in rows:
        values = [f"{row.expected:.10g}", f"{row.tolerance:.3g}", shown(row.computed(), row.tolerance)]
        source = f"{row.source}; {row.where}" if row.where not in ("", "-") else row.source
        remark = f"miss: {row.note}" if row.outcome == "miss" else row.note
        lines.append([f"{row.id}: {row.what}", *values, source, remark])
    return _table(headings, lines)


def _untested() -> list[list[str]]:
    """What no outside number was found for: room, what, why."""
    entries = tomllib.loads((HERE / "untested.toml").read_text(encoding="utf-8"))["untested"]
    return [[entry["room"], entry["what"], entry["why"]] for entry in entries]


def page(rows: list[Row] | None = None) -> str:
    """The text of docs/evidence.md."""
    rows = all_rows() if rows is None else rows
    misses = sorted((row for row in rows if row.outcome == "miss"), key=lambda row: list(GROUPS).index(row.group))
    parts = ["# Evidence", "", "Made from `tests/outside/*.csv` by `tests/outside/evidence.py`; do not edit.", ""]
    parts += ["## What does not come out", ""]
    for group in GROUPS:
        mine = [row for row in misses if row.group == group]
        if mine:
            parts += [f"### {group[0].upper()}{group[1:]}: {len(mine)}", "", *_details(mine), ""]
    parts += ["## Untested", "", *_table(["room", "what", "why"], _untested()), ""]
    parts += ["## How to read this", "", GUIDE, "", "## Counts: rows that hold, of all", "", *_counts(rows), ""]
    parts += [f"- {group}: {meaning}." for group, meaning in GROUPS.items()] + [""]
    for group, meaning in GROUPS.items():
        parts += [f"## {group[0].upper()}{group[1:]}: {meaning}", ""]
        for room in sorted({row.room for row in rows if row.group == group}):
            mine = [row for row in rows if row.group == group and row.room == room and row.outcome == "holds"]
            parts += [f"### {room}", "", *(_details(mine) if mine else ["None holds."]), ""]
    return "\n".join(parts).rstrip() + "\n"


def main(arguments: list[str]) -> int:
    """Write the page, or with --check say whether it is current."""
    text = page()
    if "--check" not in arguments:
        PAGE.write_text(text, encoding="utf-8")
        return 0
    current = PAGE.exists() and PAGE.read_text(encoding="utf-8") == text
    if not current:
        print("docs/evidence.md is not current: run python tests/outside/evidence.py", file=sys.stderr)
    return 0 if current else 1


if __name__ == "__main__":
    sys.path.insert(0, str(HERE.parent))
    sys.exit(main(sys.argv[1:]))
