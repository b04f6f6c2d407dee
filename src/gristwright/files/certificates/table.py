"""Find the table of lots on a sheet, lots as rows or as columns, and read it cell by cell. See docs/certificates.md."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gristwright.files.cells import Cell, Grid, Sheet, turned
from gristwright.files.certificates.headings import Heading, is_unit, read_heading, words

# Headings are looked for in so many first lines; a sheet has notes above its table, but not a book of them.
SEARCHED_LINES = 60
LEAST_KNOWN = 2
# A line of more is no line of headings: the lots of a long table stand side by side once it is turned.
MOST_HEADINGS = 1_000


@dataclass(frozen=True)
class Line:
    """One line across the headings: what it is (unit, method, specification, heading or lot) and its cells."""

    kind: str
    label: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class LotTable:
    """A table of lots. `headings` and the cells of every line run side by side; `lots_are` is rows or columns."""

    sheet: Sheet
    lots_are: str
    first_line: int
    headings: tuple[Heading, ...]
    heading_cells: tuple[Cell, ...]
    lines: tuple[Line, ...]
    above: tuple[tuple[Cell, ...], ...]

    def of_kind(self, kind: str) -> tuple[Line, ...]:
        """The lines of one kind."""
        return tuple(line for line in self.lines if line.kind == kind)


@dataclass(frozen=True)
class Known:
    """How a heading is read: by a mapping first, then by the tables."""

    by_mapping: dict[str, Heading]

    def read(self, text: str) -> Heading:
        """The heading of a text."""
        return self.by_mapping.get(" ".join(text.split()).casefold()) or read_heading(text)


def find_table(sheet: Sheet, known: Known, lots_are: str = "") -> LotTable | None:
    """The best table of a sheet: the line in which the most headings are known. None when no line has two."""
    best: tuple[int, int, int, str] | None = None
    for way in ("rows", "columns"):
        if lots_are in ("", way):
            grid = sheet.cells if way == "rows" else turned(sheet.cells)
            for score, line, depth in _scores(grid, known):
                if score >= LEAST_KNOWN and (best is None or score > best[0]):
                    best = (score, line, depth, way)
    return _table(sheet, known, *best[1:]) if best else None


def _scores(grid: Grid, known: Known) -> Iterator[tuple[int, int, int]]:
    """Known headings of each line alone, and of each line together with the next."""
    for line in range(min(len(grid), SEARCHED_LINES)):
        if sum(cell.filled for cell in grid[line]) > MOST_HEADINGS:
            continue
        alone = [known.read(text) for text in _texts(grid, line, 1)]
        score = _score(alone)
        yield score, line, 1
        if line + 1 < len(grid) and not any(cell.number is not None for cell in grid[line + 1]):
            pair = [known.read(text) for text in _texts(grid, line, 2)]
            # Two lines are one heading only where the second adds to the first, not where it repeats or ends it.
            if _score(pair) > score and _score([known.read(_own_text(c)) for c in grid[line + 1]]) < _score(pair):
                yield _score(pair), line, 2


def _score(headings: list[Heading]) -> int:
    return sum(heading.known for heading in headings)


def _texts(grid: Grid, line: int, depth: int) -> list[str]:
    """Heading texts of a line, joined with the line below where depth is two; a merged cell is not said twice."""
    if depth == 1:
        return [_own_text(cell) for cell in grid[line]]
    pairs = zip(grid[line], grid[line + 1], strict=True)
    return [a.text if b.copied and b.text == a.text else f"{a.text} {b.text}".strip() for a, b in pairs]


def _own_text(cell: Cell) -> str:
    return "" if cell.copied else cell.text


def _table(sheet: Sheet, known: Known, line: int, depth: int, way: str) -> LotTable:
    grid = sheet.cells if way == "rows" else turned(sheet.cells)
    headings = tuple(known.read(text) for text in _texts(grid, line, depth))
    below = grid[line + depth :]
    return LotTable(
        sheet=sheet,
        lots_are=way,
        first_line=line,
        headings=headings,
        heading_cells=grid[line],
        lines=tuple(_line(cells, headings) for cells in below if any(cell.filled for cell in cells)),
        above=grid[:line],
    )


def _line(cells: tuple[Cell, ...], headings: tuple[Heading, ...]) -> Line:
    return Line(_kind(cells, headings), _label(cells, headings), cells)


def _kind(cells: tuple[Cell, ...], headings: tuple[Heading, ...]) -> str:
    """What a line is, by a word in one of the cells that hold no figure, or by holding nothing but units."""
    sides = [c.text.lower().strip(":") for c, h in zip(cells, headings, strict=True) if h.role != "field"]
    meanings = [words("row")[text] for text in sides if text in words("row")]
    for kind in ("unit", "method", "specification"):
        if kind in meanings:
            return kind
    figures = [c for c, h in zip(cells, headings, strict=True) if h.role == "field" and c.filled]
    if figures and all(cell.copied for cell in figures):
        return "copy"
    if figures and all(cell.number is None and is_unit(cell.text.strip("[]()")) for cell in figures):
        return "unit"
    own = [c for c in cells if c.filled and not c.copied]
    return "note" if not figures and len(own) <= 1 else "lot"


def _label(cells: tuple[Cell, ...], headings: tuple[Heading, ...]) -> str:
    """What the line is called where no heading names the lot: the last side cell before the first figure."""
    first = next((k for k, heading in enumerate(headings) if heading.role == "field"), len(cells))
    for cell, heading in reversed(list(zip(cells, headings, strict=True))[:first]):
        if heading.role in ("not read", "empty") and cell.filled and not cell.copied:
            return "" if cell.text.lower().strip(":") in words("row") else cell.text
    return ""
