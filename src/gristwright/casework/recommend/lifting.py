"""What would lift what stops a bill, as sentences for the customer: the remedies that were worked out. docs/boards.md."""

from __future__ import annotations

from gristwright.basics import Light
from gristwright.records.remedies import Alteration, Remedy
from gristwright.records.results import BillResult
from gristwright.records.said import Amount, Name, Said, Term, said

MOST_WAYS = 3
# Fields of the house that a way changes to a number: the term it is called by, its unit and its decimals.
NUMBERS = {
    "mash.kg_per_mash": ("kg", "kg", 0),
    "mash.mill_gap_mm": ("gap", "mm", 2),
    "washbacks.hours": ("hours", "h", 0),
}


def lifts(result: BillResult) -> tuple[Said, ...]:
    """The ways that better a board which is out of order, at most three of each; that there is none where none was found."""
    said_ways: list[Said] = []
    for board in result.boards:
        if board.light is not Light.RED or board.key.startswith("law."):
            continue
        ways = [_way(remedy) for remedy in board.remedies[:MOST_WAYS]]
        said_ways += ways or [said("lift.none", board=Name("board", board.key))]
    return tuple(said_ways)


def _way(remedy: Remedy) -> Said:
    """One way with what it does to its board."""
    gain = remedy.gain
    how = said(f"way.{remedy.key}", **_numbers(remedy.change))
    chances = {"after": _share(gain.chance_after), "before": _share(gain.chance_before)}
    if gain.figure_after is None or gain.figure_before is None:
        return said("lift.chance", way=how, **chances)
    now = Amount(gain.figure_after, gain.unit, gain.decimals)
    then = Amount(gain.figure_before, gain.unit, gain.decimals)
    return said("lift.figure", way=how, now=now, then=then, **chances)


def _share(chance: float) -> Amount:
    return Amount(100.0 * chance, "%")


def _numbers(change: Alteration) -> dict[str, Term]:
    """The numbers and lots that a way's sentence has: what is changed, and to what."""
    terms: dict[str, Term] = {}
    for path, value in change.plant:
        if path in NUMBERS:
            name, unit, decimals = NUMBERS[path]
            terms[name] = Amount(float(value), unit, decimals)
    for lot, points in change.bill:
        name = "more" if points > 0.0 else "less"
        terms.setdefault(name, lot)
        if points > 0.0:
            terms.setdefault("points", Amount(points, "%", 0))
    for _, pct in change.added_pct:
        terms["added"] = Amount(pct, "kg", 0)
    return terms
