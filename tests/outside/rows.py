"""Rows of tests/outside/*.csv, the needs they are held against (needs.toml), and how each comes out."""

from __future__ import annotations

import csv
import importlib
import json
import math
import tomllib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path

HERE = Path(__file__).resolve().parent
COLUMNS = ["id", "what", "call", "arguments", "expected", "tolerance"]
COLUMNS += ["source", "where", "standing", "used_to_fit", "outcome", "note", "quantity"]
A_HAIR = 1e-12  # for the last bit of a float


class Outcome(Enum):
    """How one row comes out; best first."""

    ROUNDING = "within the source's rounding"
    NEED = "within need"
    MISS = "misses the need"


@dataclass(frozen=True)
class Need:
    """How close a quantity must come, and which decision goes wrong when it does not."""

    key: str
    what: str
    within: float
    unit: str
    kind: str
    why: str

    def allowed(self, expected: float) -> float:
        """The need in the unit of a row."""
        return self.within * abs(expected) / 100.0 if self.kind == "relative" else self.within

    def said(self) -> str:
        """The need in words."""
        of = " of itself" if self.kind == "relative" else ""
        return f"{self.within:.10f}".rstrip("0").rstrip(".") + f" {self.unit}{of}"


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
    quantity: str

    @property
    def group(self) -> str:
        """Which of the four groups the row is counted in."""
        if self.standing == "published":
            return "validation" if self.used_to_fit == "no" else "published, used"
        return "practice" if self.standing in ("common practice", "from memory", "estimate") else "arithmetic"

    @property
    def need(self) -> Need:
        """What a decision needs of the quantity; KeyError when no such need was set."""
        return needs()[self.quantity]

    @property
    def too_coarse(self) -> bool:
        """Whether the source's rounding is wider than the need, so that agreement does not show the need is met."""
        return self.tolerance > self.need.allowed(self.expected)

    def computed(self) -> float:
        """What the package gives."""
        return _computed(self.call, self.arguments)

    def off(self) -> float:
        """Ours less the outside number."""
        return self.computed() - self.expected

    def in_needs(self) -> float:
        """The same as a multiple of the need."""
        return self.off() / self.need.allowed(self.expected)

    def judged(self) -> Outcome:
        """How the row comes out now; what is not a number misses."""
        off, hair = abs(self.off()), A_HAIR * max(1.0, abs(self.expected))
        if off <= self.tolerance + hair:
            return Outcome.ROUNDING
        return Outcome.NEED if off <= self.need.allowed(self.expected) + hair else Outcome.MISS


@contextmanager
def asked_anew() -> Iterator[None]:
    """What is asked inside is computed anew, and forgotten behind it."""
    _computed.cache_clear()
    try:
        yield
    finally:
        _computed.cache_clear()


@cache
def _computed(call: str, arguments: str) -> float:
    module, _, name = call.rpartition(".")
    return float(getattr(importlib.import_module(module), name)(**json.loads(arguments)))


@cache
def needs() -> dict[str, Need]:
    """The table of needs by key, in the order of the file."""
    table = tomllib.loads((HERE / "needs.toml").read_text(encoding="utf-8"))
    return {key: Need(key, **fields) for key, fields in table.items()}


def rows_of(path: Path) -> list[Row]:
    """The rows of one file; the room is the file's name. ValueError for other columns or a row that is too short."""
    with path.open(encoding="utf-8", newline="") as lines:
        reader = csv.DictReader(lines)
        if reader.fieldnames != COLUMNS:
            raise ValueError(f"{path.name}: columns are {reader.fieldnames}, not {COLUMNS}")
        return [_row(path.stem, cells) for cells in reader]


def _row(room: str, cells: dict[str, str]) -> Row:
    if None in cells or None in cells.values():
        raise ValueError(f"{room}.csv: row {cells['id']} has not {len(COLUMNS)} cells; the last is its quantity")
    numbers = {name: float(cells.pop(name)) for name in ("expected", "tolerance")}
    return Row(room=room, **cells, **numbers)  # type: ignore[arg-type]


def files() -> list[Path]:
    """The files of rows, by name."""
    return sorted(HERE.glob("*.csv"))


def all_rows() -> list[Row]:
    """Every row of every file."""
    return [row for path in files() for row in rows_of(path)]


def moved(rows: Iterable[Row]) -> list[Row]:
    """The rows that come out otherwise than their file says."""
    return [row for row in rows if row.judged().value != row.outcome]


def pin(rows: Iterable[Row]) -> None:
    """Write into the files how their rows come out now."""
    found = {row.id: row.judged().value for row in rows}
    for path in files():
        with path.open(encoding="utf-8", newline="") as lines:
            cells = list(csv.DictReader(lines))
        with path.open("w", encoding="utf-8", newline="") as out:
            writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(cell | {"outcome": found[cell["id"]]} for cell in cells)


def shown(value: float, tolerance: float) -> str:
    """A computed value to one digit beyond the tolerance, so that the page is the same on every machine."""
    if not math.isfinite(value):
        return str(value)
    places = 3 if tolerance <= 0 else max(0, 1 - math.floor(math.log10(tolerance)))
    return f"{value:.{min(places, 10)}f}"
