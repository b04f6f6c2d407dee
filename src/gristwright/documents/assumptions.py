"""What an answer rests on as views: the assumptions, the one that moves it most on top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gristwright.basics import Assumption, Band
from gristwright.documents.entries import LITRES, Entry, entry
from gristwright.quantities.shown import capital, plain, significant

FEWEST_PRINTED, MOST_PRINTED = 4, 8
LEAST_EFFECT = 0.005  # litres; what would be printed as 0.00
RANKED = (
    "Ranked by how far the change in litres of offer {letter} [{unit}] moves when the assumption goes from its low to "
    "its high."
)


@dataclass(frozen=True)
class AssumptionView:
    """An assumption with its band, standing and source, and how far the answer moves between its low and high."""

    name: str
    meaning: str
    unit: str
    low: float
    middle: float
    high: float
    at: str
    range: str
    standing: str
    source: str
    effect: Entry | None
    effect_text: str


@dataclass(frozen=True)
class AssumedView:
    """All assumptions of a document, how they are ranked, and how many of them the page prints."""

    assumptions: tuple[AssumptionView, ...]
    assumptions_ranked: str
    assumptions_move: str
    printed_assumptions: int
    assumptions_note: str


def assumptions_view(assumptions: Sequence[Assumption], effects: Mapping[str, Band], letter: str) -> AssumedView:
    """The assumptions, the one that moves the offer's change most on top."""
    ranked = sorted(assumptions, key=lambda a: -reach(effects.get(a.name)))
    printed = _printed(ranked, effects)
    left = len(ranked) - printed
    less = ", which move it less or not at all," if effects else ""
    return AssumedView(
        assumptions=tuple(assumption_view(a, effects.get(a.name), letter) for a in ranked),
        assumptions_ranked=RANKED.format(letter=letter, unit=LITRES) if effects else "",
        assumptions_move=f"Moves offer {letter}" if effects else "",
        printed_assumptions=printed,
        assumptions_note=f"{left} more{less} stand in the JSON file that belongs to this document." if left else "",
    )


def reach(effect: Band | None) -> float:
    """How far the answer moves between an input's low and high, whichever way."""
    return abs(effect.width) if effect else 0.0


def _printed(ranked: Sequence[Assumption], effects: Mapping[str, Band]) -> int:
    """How many assumptions the page shows: those that move the answer, a few at least."""
    moving = sum(reach(effects.get(a.name)) >= LEAST_EFFECT for a in ranked)
    wanted = max(FEWEST_PRINTED, moving) if effects else MOST_PRINTED
    return min(wanted, MOST_PRINTED, len(ranked))


def assumption_view(assumption: Assumption, effect: Band | None = None, letter: str = "") -> AssumptionView:
    """An assumption as a view."""
    band = assumption.band
    low, high = significant(band.low), significant(band.high)
    return AssumptionView(
        name=assumption.name,
        meaning=capital(assumption.meaning),
        unit="" if assumption.unit == "1" else assumption.unit.replace("m2", "m²"),
        low=band.low,
        middle=band.middle,
        high=band.high,
        at=significant(band.middle),
        range=f"{low} to {high}" if low != high else "",
        standing=assumption.standing.value,
        source=assumption.source,
        effect=_effect(assumption.name, effect, letter) if effect else None,
        effect_text=plain(reach(effect), 2) if effect else "",
    )


def _effect(name: str, effect: Band, letter: str) -> Entry:
    label = f"moves the change of offer {letter}"
    return entry("effect", label, LITRES, effect, 2, (name,), difference=True)
