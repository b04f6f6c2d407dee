"""The table of docs/mash_simulation.md: every row of mash.csv that a mash model answers, by each model side by side."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gristwright.basics import Refused
from gristwright.stages.mash.models import MODEL, MODELS
from outside.adapters_mash import by_model
from outside.rows import Outcome, Row, asked_anew, shown

BEGIN, END = "<!-- rows: made by `make evidence` -->", "<!-- end of rows -->"
SHORT = {Outcome.ROUNDING: "holds", Outcome.NEED: "within need", Outcome.MISS: "**misses**"}


def with_rows(page: Path, rows: Sequence[Row]) -> str:
    """The page with its table made anew. ValueError where the page has no place for it."""
    text = page.read_text(encoding="utf-8")
    before, mark, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not mark or not end:
        raise ValueError(f"{page.name}: no place for the rows: {BEGIN} and {END}")
    return f"{before}{BEGIN}\n\n{table(rows)}\n\n{END}{after}"


def table(rows: Sequence[Row]) -> str:
    """Counts, then misses of the default first, then by the order of the file."""
    answered = [row for row in rows if row.call.startswith("outside.adapters_mash.") and "published" not in row.call]
    names = list(MODELS)
    found = {row.id: [_answer(row, name) for name in names] for row in answered}
    order = sorted(answered, key=lambda row: (not _missed(found[row.id][0]), row.used_to_fit != "no"))
    head = ["row", "what", "outside", *names, "used to fit"]
    lines = [head, ["---"] * len(head)]
    for row in order:
        cells = [_cell(row, answer) for answer in found[row.id]]
        lines.append(
            [row.id, row.what.replace("|", "/"), f"{row.expected:g} ± {row.tolerance:g}", *cells, row.used_to_fit]
        )
    return "\n\n".join([_counts(answered, found, names), "\n".join(f"| {' | '.join(line)} |" for line in lines)])


def _answer(row: Row, model: str) -> tuple[float, Outcome] | None:
    """What a model gives for a row; None where it refuses it or has not what is asked."""
    with by_model(model), asked_anew():
        try:
            return row.computed(), row.judged()
        except (Refused, LookupError):
            return None


def _missed(answer: tuple[float, Outcome] | None) -> bool:
    return answer is None or answer[1] is Outcome.MISS


def _cell(row: Row, answer: tuple[float, Outcome] | None) -> str:
    return "no answer" if answer is None else f"{shown(answer[0], row.tolerance)} {SHORT[answer[1]]}"


def _counts(rows: Sequence[Row], found: dict[str, list[tuple[float, Outcome] | None]], names: list[str]) -> str:
    unseen = [row for row in rows if row.group == "validation"]
    missed = {name: sum(_missed(found[row.id][k]) for row in unseen) for k, name in enumerate(names)}
    told = ", ".join(f"`{name}` {count}" for name, count in missed.items())
    what = f"Of {len(unseen)} published rows that no model was fitted to, these miss the need or have no answer"
    return f"{what}: {told}. `{MODEL}` is the default."
