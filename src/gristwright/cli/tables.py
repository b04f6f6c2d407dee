"""Text for a terminal of 80 columns: plain tables, named values, wrapped remarks. Used by every command."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Mapping, Sequence

from gristwright.basics import Band, Problem
from gristwright.documents.data import View, as_data
from gristwright.quantities.shown import THIN, WITHHELD, plain
from gristwright.records.results import MeasureNext
from gristwright.reference.typeface import as_escapes

WIDTH = 80
GAP = 2
NARROWEST = 8
NUMBER_TEXT = re.compile(rf"[+\-−]?[0-9][0-9 {THIN}]*(\.[0-9]+)?")
Cell = str | int | float | None


def as_text(cell: Cell, digits: int = 5) -> str:
    """A cell as a person reads it: at most `digits` significant digits, nothing for None."""
    if cell is None:
        return ""
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        return str(cell)
    if isinstance(cell, int) or abs(cell) >= 10.0**digits:
        return f"{cell:.0f}" if abs(cell) < 1e15 else f"{cell:.{digits}g}"
    return f"{cell:.{digits}g}" if abs(cell) >= 1e-4 or cell == 0 else f"{cell:.{digits - 1}e}"


def _widths(columns: Sequence[Sequence[str]], wraps: Sequence[bool], width: int) -> list[int]:
    """Column widths within `width`; only columns of text give way, the widest first."""
    wanted = [max(len(line) for line in column) for column in columns]
    spare = width - GAP * (len(columns) - 1)
    while sum(wanted) > spare:
        widest = max(
            (k for k in range(len(wanted)) if wraps[k] and wanted[k] > NARROWEST), key=lambda k: wanted[k], default=-1
        )
        if widest < 0:
            break
        wanted[widest] -= 1
    return wanted


def _row(cells: Sequence[str], widths: Sequence[int], numeric: Sequence[bool]) -> list[str]:
    """One row of the table, as many lines as its tallest cell."""
    stacks = [textwrap.wrap(cell, max(size, 1)) or [""] for cell, size in zip(cells, widths, strict=True)]
    lines = []
    for level in range(max(len(stack) for stack in stacks)):
        parts = [stack[level] if level < len(stack) else "" for stack in stacks]
        laid = [p.rjust(w) if n else p.ljust(w) for p, w, n in zip(parts, widths, numeric, strict=True)]
        lines.append((" " * GAP).join(laid).rstrip())
    return lines


def _is_number(cell: Cell) -> bool:
    return isinstance(cell, int | float) or bool(NUMBER_TEXT.fullmatch(str(cell)))


def plain_table(headings: Sequence[str], rows: Sequence[Sequence[Cell]], width: int = WIDTH, digits: int = 5) -> str:
    """A table with headings and a rule, numbers to the right, text wrapped, no line beyond `width` while text can give.

    A column is numeric when every filled cell is a number, or text that is one, but for what is withheld.
    """
    cells = [[as_text(cell, digits) for cell in row] for row in rows]
    values = [[row[k] for row in rows if row[k] not in (None, "", WITHHELD)] for k in range(len(headings))]
    numeric = [bool(column) and all(_is_number(x) for x in column) for column in values]
    columns = [[heading, *(row[k] for row in cells)] for k, heading in enumerate(headings)]
    widths = _widths(columns, [not n for n in numeric], width)
    lines = _row(headings, widths, numeric)
    lines.append((" " * GAP).join("-" * size for size in widths))
    for row in cells:
        lines += _row(row, widths, numeric)
    return "\n".join(lines)


def named_values(values: Mapping[str, Cell], digits: int = 6) -> str:
    """One name and value a line, the values in one column; texts wrapped within 80 columns."""
    indent = max(len(name) for name in values) + GAP
    lines = []
    for name, cell in values.items():
        text = textwrap.wrap(as_text(cell, digits), WIDTH - indent) or [""]
        lines.append(f"{name.ljust(indent)}{text[0]}".rstrip())
        lines += [" " * indent + line for line in text[1:]]
    return "\n".join(lines)


def remark(text: str) -> str:
    """A remark wrapped at 80 columns."""
    return textwrap.fill(text, WIDTH)


def hanging(text: str, indent: str = "") -> str:
    """A paragraph within 80 columns, its further lines set in by two more than its first."""
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False)


def ends_of(band: Band, decimals: int) -> tuple[str, str, str]:
    """Low, middle and high as they are written."""
    return plain(band.low, decimals), plain(band.middle, decimals), plain(band.high, decimals)


def measure_lines(lines: Sequence[MeasureNext]) -> list[str]:
    """What to measure next below a simulated course, with its heading; nothing where nothing is worth it."""
    if not lines:
        return []
    said = [f"- {m.meaning}: {m.narrows}, by {plain(m.by, 1)} {m.unit}. {m.how}".rstrip() for m in lines]
    head = "\nMeasure next: by how much half the spread of an input narrows an end value"
    return [head, *(hanging(line) for line in said)]


def as_json(values: View | Mapping[str, object]) -> str:
    """JSON text with the keys in the order given and characters as they are, but for those that would steer a terminal;
    NaN is a bug and raises ValueError."""
    data = values if isinstance(values, Mapping) else as_data(values)
    return as_escapes(json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False))


def problems_data(problems: Sequence[Problem]) -> list[dict[str, object]]:
    """Faults and warnings for JSON, each with its address as an object."""
    return [problem.as_data() for problem in problems]
