"""Does the wort fit the washback with room for its head? See docs/wash.md."""

from __future__ import annotations

import math

from gristwright.basics import Band, Light
from gristwright.quantities.shown import either, plain
from gristwright.records.plant import MashPlan
from gristwright.records.results import Board, Figure
from gristwright.records.washbacks import Washbacks

LEAST_ROOM = 0.10
EASY_ROOM = 0.15


def mash_L(plan: MashPlan) -> float:
    """What one mash sends to the washbacks [L]."""
    return plan.kg_per_mash / 1000.0 * plan.wort_L_per_t


def washbacks_needed(plan: MashPlan, washbacks: Washbacks) -> int:
    """The fewest washbacks that hold one mash with least room for its head."""
    return max(1, math.ceil(mash_L(plan) / (washbacks.volume_L * (1.0 - LEAST_ROOM))))


def filled_L(plan: MashPlan, washbacks: Washbacks) -> float:
    """What stands in one washback [L]: as many mashes as leave room for the head, or its part of one mash."""
    needed, usable = washbacks_needed(plan, washbacks), washbacks.volume_L * (1.0 - LEAST_ROOM)
    if needed > 1:
        return mash_L(plan) / min(needed, washbacks.count)
    return mash_L(plan) * max(1, math.floor(usable / mash_L(plan) + 1e-9))


def headspace(plan: MashPlan, washbacks: Washbacks) -> float:
    """Empty share of the washbacks one mash fills, 0 to 1."""
    filled = min(washbacks_needed(plan, washbacks), washbacks.count)
    return 1.0 - mash_L(plan) / (filled * washbacks.volume_L)


def washback_board(plan: MashPlan, washbacks: Washbacks) -> Board:
    """One mash in the fewest washbacks that hold it."""
    wort_L, needed = mash_L(plan), washbacks_needed(plan, washbacks)
    filled = min(needed, washbacks.count)
    room = headspace(plan, washbacks)
    red = needed > washbacks.count
    light = Light.RED if red else Light.AMBER if room < EASY_ROOM else Light.GREEN
    percent = 100.0 * room
    return Board(
        key="washback",
        title="Room in the washback",
        light=light,
        probability_red=1.0 if red else 0.0,
        figure=Figure("headspace_pct", "headspace", "%", Band(percent, percent, percent), 0, ("input.plant",)),
        sentence=f"{plain(wort_L, 0)} L in {filled} of {plain(washbacks.volume_L, 0)} L leaves {percent:.0f} % for the "
        f"head; at least {100 * LEAST_ROOM:.0f} % is wanted.",
        remedy="" if light is Light.GREEN else either("mash less", _split(filled, washbacks)),
        standing="from memory",
        source="room for foam in a barley-malt washback, from memory",
    )


def _split(filled: int, washbacks: Washbacks) -> str:
    return "split the mash over more washbacks" if filled < washbacks.count else ""
