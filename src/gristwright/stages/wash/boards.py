"""Does the wort fit the washback with room for its head? See docs/wash.md."""

from __future__ import annotations

import math

from gristwright.basics import Band, Light
from gristwright.records.plant import MashPlan, Washbacks
from gristwright.records.results import Board, Figure

LEAST_ROOM = 0.10
EASY_ROOM = 0.15


def washback_board(plan: MashPlan, washbacks: Washbacks) -> Board:
    """One mash in the fewest washbacks that hold it."""
    wort_L = plan.kg_per_mash / 1000.0 * plan.wort_L_per_t
    needed = max(1, math.ceil(wort_L / (washbacks.volume_L * (1.0 - LEAST_ROOM))))
    filled = min(needed, washbacks.count)
    room = 1.0 - wort_L / (filled * washbacks.volume_L)
    red = needed > washbacks.count
    light = Light.RED if red else Light.AMBER if room < EASY_ROOM else Light.GREEN
    percent = 100.0 * room
    return Board(
        key="washback",
        title="Room in the washback",
        light=light,
        probability_red=1.0 if red else 0.0,
        figure=Figure("headspace_pct", "headspace", "%", Band(percent, percent, percent), 0, ("input.plant",)),
        sentence=f"{wort_L:.0f} L of wort in {filled} of {washbacks.volume_L:.0f} L leaves {percent:.0f} % for "
        f"the head; at least {100 * LEAST_ROOM:.0f} % is wanted.",
        remedy="" if light is Light.GREEN else "Mash less, or split the mash over more washbacks.",
        standing="from memory",
        source="room for foam in a barley-malt washback, from memory",
    )
