"""What would lift what stops a bill: the remedies worked out, as sentences for the customer. See docs/boards.md."""

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
    "mash.wort_L_per_t": ("litres", "L/t", 0),
    "washbacks.hours": ("hours", "h", 0),
    "pot_stills.heating_kW": ("heat", "kW", 1),
}


def lifts(result: BillResult) -> tuple[Said, ...]:
    """The ways that better the boards out of order, at most three of each; where none was found, that there is none."""
    stops = [board for board in result.boards if board.light is Light.RED and not board.key.startswith("law.")]
    ways = [_lift(remedy) for board in stops for remedy in board.remedies[:MOST_WAYS]]
    return tuple(ways or (said("lift.none", board=Name("board", board.key)) for board in stops))


def way_of(remedy: Remedy) -> Said:
    """What a way does, with its numbers."""
    return said(f"way.{remedy.key}", **_numbers(remedy.change))


def _lift(remedy: Remedy) -> Said:
    """One way with what it does to its board."""
    gain, how = remedy.gain, way_of(remedy)
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
