"""Casks of known age as a table that reads back as it was: the other way round from `ladder_in`."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.records.ageing import CaskTable, Sample, Score

FACTS = ("wood", "fill", "entry_abv_pct", "store", "capacity_L")
# Rows keep their numbers, unless they stood so far down that a table of blanks would be written.
DEEPEST = 5000


def casks_table(table: CaskTable) -> list[list[object]]:
    """Headings, then every row under the number that it had where it was read."""
    arms = any(item.arm for item in _items(table))
    said = [*table.speaks_of]
    scales = sorted(table.scales, key=lambda name: (name not in said, _place(said, name)))
    own = ["age_years", "cask", *FACTS, "assessor", "sitting", *(["arm"] if arms else [])]
    measured = [f"{name} [{unit}]" for name, unit in table.units.items()]
    rows: list[list[object]] = [[*own, *measured, *(_scale(table, name) for name in scales)]]
    for number, items in sorted(_by_row(table).items()):
        rows += [[] for _ in range(number - 1 - len(rows))] if number <= DEEPEST else []
        rows.append(_row(items, arms, [*table.units], scales))
    return [*rows, ["# Invented."]] if table.invented else rows


def exact(value: float) -> str:
    """A number to its last digit, a whole one without a point."""
    return repr(float(value)).removesuffix(".0")


def _items(table: CaskTable) -> list[Sample | Score]:
    return [*table.samples, *table.scores]


def _by_row(table: CaskTable) -> dict[int, list[Sample | Score]]:
    by_row: dict[int, list[Sample | Score]] = {}
    for item in _items(table):
        by_row.setdefault(item.row, []).append(item)
    return by_row


def _place(names: Sequence[str], name: str) -> int:
    return names.index(name) if name in names else 0


def _scale(table: CaskTable, name: str) -> str:
    low, high = table.scales[name]
    kind = table.speaks_of.get(name, "")
    return f"{name} [{exact(low)}-{exact(high)}{f', {kind}' if kind else ''}]"


def _row(items: Sequence[Sample | Score], arms: bool, units: Sequence[str], scales: Sequence[str]) -> list[object]:
    """One row holds the sample and the score that stood in it."""
    first = items[0]
    score = next((item for item in items if isinstance(item, Score)), None)
    facts = [getattr(first.facts, name) for name in FACTS]
    values = {name: value for item in items for name, value in item.values.items()}
    own = [first.years, first.cask, *facts, *((score.assessor, score.sitting) if score else ("", ""))]
    cells = [*own, *([first.arm] if arms else []), *(values.get(name) for name in (*units, *scales))]
    return ["" if cell is None else cell for cell in cells]
