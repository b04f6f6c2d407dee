"""The text of docs/evidence.md and of the pages below it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence

from outside.rows import HERE, Outcome, Row, needs, shown

GROUPS = {
    "validation": "published, and no model was fitted to it or chosen on it",
    "published, used": "published, but a model was fitted to it, chosen on it, or shares its formula",
    "practice": "common practice or from memory",
    "arithmetic": "derived: worked by hand, arithmetic on published factors",
}
APART = [group for group in GROUPS if group != "validation"]
NOTICE = "Made from `tests/outside` by `make evidence`; do not edit."
LEAD = """\
{all} numbers were published by others and had no part in making a model. {rounding} of them come out within
the source's rounding, {need} within what a decision needs, and **{miss} miss the need**."""
MISSES = """\
Furthest off first, told in needs. The numbers stand beside the marks in the pictures. What each decision needs,
and why, is in [needs](evidence/needs.md); every row with its source is in the pages of the rooms (see the counts)."""
NEEDS = """\
Made from `tests/outside/needs.toml` by `make evidence`; do not edit.

How close each compared quantity must come before a decision that rests on it goes wrong: our own judgement of the work,
set before any row was held against it ([decision 0015](../decisions/0015-what-a-decision-needs.md))."""
PICTURES = """\
Each mark is one published number. The middle line is the number itself; how far ours lies from it is told in needs, so
that all pictures are read alike. Inside the grey band no decision goes wrong; a circle outside it means that the source
rounds more coarsely than that. White marks prove nothing; practice and arithmetic are not drawn."""
GUIDE = """\
- **Within the source's rounding**: no further off than half the last digit printed, or the error the source states;
  that is never widened. **Within need**: further off, but no decision goes wrong by it. **Misses the need**: one may.
- The needs are our judgement, written down before any row was held against them, and not moved to suit a row.
- Only published numbers that no model was fitted to or chosen on count. Those used to fit, practice and memory, and
  arithmetic stay apart: they show that a fit was made as described, or a formula coded as written.
- *Too coarse*: the source rounds wider than the need, so agreeing with it does not show that the need is met. Where a
  source gives a range, its middle is compared.
- No row is dropped for missing, and a test fails when one comes out otherwise than is written here. A miss does not
  always speak against the package: some sources are rounded, misprinted or disagree with themselves.
- A high count proves little where rows are alike: look at what a room was compared with, and at what it was not."""


def room_name(room: str) -> str:
    """A room as a word of a page."""
    return room.replace("_", " ")


def _cell(text: str) -> str:
    return text.replace("|", "/").replace("\n", " ")


def _table(headings: Iterable[str], lines: Iterable[Iterable[str]]) -> list[str]:
    headings = list(headings)
    out = ["| " + " | ".join(headings) + " |", "|" + " --- |" * len(headings)]
    return out + ["| " + " | ".join(_cell(cell) for cell in line) + " |" for line in lines]


def _of(rows: Iterable[Row], group: str = "validation") -> list[Row]:
    return [row for row in rows if row.group == group]


def _count(rows: Iterable[Row], outcome: Outcome) -> int:
    return sum(row.judged() is outcome for row in rows)


def _outside(row: Row) -> str:
    return f"{row.expected:.10g}"


def needs_off(row: Row) -> str:
    """How many needs a row is off: to a tenth, finer about one and near none."""
    size = abs(row.in_needs())
    if size >= 0.95:
        return f"{size:.1f}" if size >= 1.1 else f"{size:.2f}"
    return f"{size:.2g}" if size >= 0.005 else "0"


def numbered_misses(rows: Iterable[Row]) -> dict[str, int]:
    """Number of every validation row that misses its need, the furthest off being 1."""
    missing = [row for row in _of(rows) if row.judged() is Outcome.MISS]
    ordered = sorted(missing, key=lambda row: (-round(abs(row.in_needs()), 2), row.id))
    return {row.id: place for place, row in enumerate(ordered, 1)}


def _misses(rows: Sequence[Row]) -> list[str]:
    by_id = {row.id: row for row in rows}
    lines = []
    for key, number in numbered_misses(rows).items():
        row = by_id[key]
        room = f"[{room_name(row.room)}](evidence/{row.room}.md)"
        values = [_outside(row), shown(row.computed(), row.tolerance), row.need.said(), needs_off(row)]
        lines.append([str(number), f"{row.what} ({row.id})", room, *values, row.note])
    return _table(["", "what", "room", "published", "here", "need", "off by, needs", "why"], lines)


def _apart(rows: list[Row]) -> str:
    missing = _count(rows, Outcome.MISS)
    return "-" if not rows else f"{len(rows)}, {missing} miss" if missing else str(len(rows))


def _counts(rows: Sequence[Row]) -> list[str]:
    lines = []
    for room in [*sorted({row.room for row in rows}), "all"]:
        mine = [row for row in rows if room in ("all", row.room)]
        ours = _of(mine)
        tally = [str(_count(ours, outcome)) for outcome in Outcome]
        coarse = str(sum(row.too_coarse and row.judged() is Outcome.ROUNDING for row in ours))
        name = "all" if room == "all" else f"[{room_name(room)}](evidence/{room}.md)"
        lines.append([name, *tally, coarse, *(_apart(_of(mine, group)) for group in APART)])
    headings = ["room", *(outcome.value for outcome in Outcome), "of the first: source too coarse"]
    return _table([*headings, *(f"apart: {group}" for group in APART)], lines)


def _untested() -> list[list[str]]:
    """What no outside number was found for: room, what, why."""
    entries = tomllib.loads((HERE / "untested.toml").read_text(encoding="utf-8"))["untested"]
    return [[entry["room"], entry["what"], entry["why"]] for entry in entries]


def picture_name(room: str) -> str:
    """The file of a room's picture in docs/pictures."""
    return f"evidence-{room.replace('_', '-')}.png"


def _pictures(rooms: Iterable[str]) -> list[str]:
    lines = []
    for room in rooms:
        alt = f"{room_name(room)}: ours less the published number, in needs"
        lines += [f"![{alt}](pictures/{picture_name(room)})", ""]
    return lines


def front(rows: Sequence[Row], rooms: Iterable[str]) -> str:
    """docs/evidence.md: what misses the need, counts, a picture for each of the rooms given, what is untested."""
    ours = _of(rows)
    tally = {outcome.name.lower(): _count(ours, outcome) for outcome in Outcome}
    parts = ["# Evidence", "", NOTICE, "", LEAD.format(all=len(ours), **tally), ""]
    parts += ["## What misses the need", "", MISSES, "", *_misses(rows), ""]
    parts += ["## Counts", "", *_counts(rows), "", GUIDE, ""]
    parts += ["## Ours against published", "", PICTURES, "", *_pictures(rooms)]
    parts += ["## Untested", "", *_table(["room", "what", "why"], _untested())]
    return "\n".join(parts).rstrip() + "\n"


def _details(rows: list[Row]) -> list[str]:
    headings = ["what", "outside", "within", "here", "need", "off by, needs", "source", "remark"]
    lines = []
    for row in rows:
        values = [_outside(row), f"{row.tolerance:.3g}", shown(row.computed(), row.tolerance)]
        need = row.need.said() + (" (source too coarse)" if row.too_coarse else "")
        source = f"{row.source}; {row.where}" if row.where not in ("", "-") else row.source
        lines.append([f"{row.id}: {row.what}", *values, need, needs_off(row), source, row.note])
    return _table(headings, lines)


def room_page(room: str, rows: Sequence[Row]) -> str:
    """docs/evidence/<room>.md: every row of a room, what misses its need first, the groups apart."""
    mine = [row for row in rows if row.room == room]
    title = room_name(room)
    parts = [f"# Evidence: {title}", "", NOTICE, ""]
    parts += ["What the words mean, and the other rooms: [evidence](../evidence.md); the needs: [needs](needs.md).", ""]
    for group, meaning in GROUPS.items():
        held = _of(mine, group)
        if not held:
            continue
        parts += [f"## {group[0].upper()}{group[1:]}: {meaning}", ""]
        for outcome in reversed(Outcome):
            some = [row for row in held if row.judged() is outcome]
            if some:
                parts += [f"### {outcome.value[0].upper()}{outcome.value[1:]}: {len(some)}", "", *_details(some), ""]
    return "\n".join(parts).rstrip() + "\n"


def needs_page(rows: Sequence[Row]) -> str:
    """docs/evidence/needs.md: the table of needs with its reasons."""
    used = [row.quantity for row in rows]
    lines = [[need.what, need.said(), need.why, str(used.count(need.key))] for need in needs().values()]
    title = "# Evidence: what a decision needs"
    return "\n".join([title, "", NEEDS, "", *_table(["quantity", "need", "why", "rows"], lines)]) + "\n"
