"""Does the wort fit the washback with room for its head? See docs/wash.md."""

from __future__ import annotations

import math

import numpy as np

from gristwright.basics import Draws, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import either, plain, significant, with_interval
from gristwright.records.plant import MashPlan
from gristwright.records.results import Board, Figure
from gristwright.records.wash import WashEnd
from gristwright.records.wash_findings import GristInWash
from gristwright.records.washbacks import Washbacks
from gristwright.stages.wash.foam import head_over_wash, most_filled_L

LEAST_ROOM = 0.10


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


def washback_board(
    plan: MashPlan, washbacks: Washbacks, end: WashEnd, grist: GristInWash, runs: Runs, draws: Draws
) -> Board:
    """One mash in the fewest washbacks that hold it, with its foam above it; `end` is what its wash comes to."""
    wort_L, needed = mash_L(plan), washbacks_needed(plan, washbacks)
    filled = min(needed, washbacks.count)
    room, over = headspace(plan, washbacks), head_over_wash(end, grist, draws)
    head = (1.0 - room) * over
    probability = 1.0 if needed > washbacks.count else runs.chance(head > room)
    spare = runs.band(room - head)
    light = Light.RED if probability > 0.5 else Light.GREEN if spare.low >= 0.0 else Light.AMBER
    litres = most_filled_L(washbacks.volume_L, runs.band(over))
    less = "mash less" if needed > washbacks.count else f"fill no more than {significant(litres, 2)} L into one"
    return Board(
        key="washback",
        title="Room in the washback",
        light=light,
        probability_red=probability,
        figure=Figure.of(
            "headspace_pct", "headspace", "%", np.full_like(head, 100.0 * room), 0, runs, "input.plant", also=(head,)
        ),
        sentence=f"{plain(wort_L, 0)} L in {filled} of {plain(washbacks.volume_L, 0)} L leaves {100.0 * room:.0f} % "
        f"for the head; foam stands {with_interval(runs.band(100.0 * head), 0)} % of it high at its most, and at least "
        f"{100 * LEAST_ROOM:.0f} % is wanted.",
        remedy="" if light is Light.GREEN else either(less, _split(filled, washbacks)),
        standing="from memory",
        source="room for foam in a barley-malt washback, from memory; gas of the simulated wash (docs/wash.md)",
    )


def _split(filled: int, washbacks: Washbacks) -> str:
    return "split the mash over more washbacks" if filled < washbacks.count else ""
