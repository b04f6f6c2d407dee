"""docs/evidence.md, the pages below it and their pictures, made from the rows of tests/outside/*.csv.

Run `python tests/outside/evidence.py` to write them; with `--check` to learn whether they are current; with `--pin`
to write into the rows, before the pages, how they come out now.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
if str(TESTS) not in sys.path:
    sys.path.insert(0, str(TESTS))

from gristwright.charts.theme import Chart  # noqa: E402
from outside.models_page import with_rows  # noqa: E402
from outside.pages import front, needs_page, numbered_misses, picture_name, room_page  # noqa: E402
from outside.picture import digest, drawn_from, png, reach, room_chart  # noqa: E402
from outside.rows import Row, all_rows, moved, pin  # noqa: E402

DOCS = TESTS.parent / "docs"
RUN = "run: make evidence"


def rooms(rows: Sequence[Row]) -> list[str]:
    """The rooms that have rows, by name."""
    return sorted({row.room for row in rows})


def charts(rows: Sequence[Row]) -> dict[Path, Chart]:
    """The picture of every room that was compared with something published, by its place in docs."""
    numbers, furthest = numbered_misses(rows), reach(rows)
    found = {room: room_chart(rows, room, numbers, furthest) for room in rooms(rows)}
    return {DOCS / "pictures" / picture_name(room): chart for room, chart in found.items() if chart is not None}


def pages(rows: Sequence[Row]) -> dict[Path, str]:
    """Every page of the evidence, by its place in docs."""
    shown = [room for room in rooms(rows) if DOCS / "pictures" / picture_name(room) in charts(rows)]
    below = {f"{room}.md": room_page(room, rows) for room in rooms(rows)} | {"needs.md": needs_page(rows)}
    whole = {DOCS / "evidence.md": front(rows, shown)} | {DOCS / "evidence" / name: below[name] for name in below}
    models = DOCS / "mash_simulation.md"
    return whole | {models: with_rows(models, [row for row in rows if row.room == "mash"])}


def out_of_date(rows: Sequence[Row]) -> list[str]:
    """What in docs is not as the rows say, by name: pages, pictures, and what belongs to no room."""
    texts, drawings = pages(rows), charts(rows)
    stale = [path for path, text in texts.items() if not path.exists() or path.read_text(encoding="utf-8") != text]
    stale += [p for p, c in drawings.items() if not p.exists() or drawn_from(p.read_bytes()) != digest(c)]
    return [path.name for path in [*stale, *_strangers([*texts, *drawings])]]


def _strangers(known: Sequence[Path]) -> list[Path]:
    there = [*(DOCS / "evidence").glob("*"), *(DOCS / "pictures").glob("evidence-*")]
    return sorted(set(there) - set(known))


def write(rows: Sequence[Row]) -> None:
    """Write the pages, draw the pictures, and take away what belongs to no room."""
    (DOCS / "evidence").mkdir(exist_ok=True)
    texts, drawings = pages(rows), charts(rows)
    for path, text in texts.items():
        path.write_text(text, encoding="utf-8")
    for path, chart in drawings.items():
        path.write_bytes(png(chart))
    for path in _strangers([*texts, *drawings]):
        path.unlink()


def main(arguments: list[str]) -> int:
    """Write, or with --check say what is not current; 1 when something is not, or a row came out otherwise."""
    rows = all_rows()
    changed = moved(rows)
    for row in changed:
        print(f"{row.id}: {row.outcome or 'nothing'} -> {row.judged().value}")
    if "--check" in arguments:
        stale = out_of_date(rows)
        if stale:
            print(f"not current: {', '.join(stale)}; {RUN}", file=sys.stderr)
        return 1 if stale or changed else 0
    if changed and "--pin" in arguments:
        pin(rows)
    write(rows)
    return 1 if changed and "--pin" not in arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
