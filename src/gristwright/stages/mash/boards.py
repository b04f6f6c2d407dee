"""Is the wort within what the house can take? See docs/mash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray, Light
from gristwright.numerics.weights import band
from gristwright.records.results import Board, Figure
from gristwright.records.streams import Wort

WATCH_SG = (1.040, 1.075)
RED_SG = (1.035, 1.085)


def gravity_board(wort: Wort, weights: FloatArray, most_sg: float | None, rests_on: tuple[str, ...]) -> Board:
    """Original gravity against the usual range, or against the house's own ceiling."""
    high = most_sg or RED_SG[1]
    sg = wort.original_gravity_sg
    red = (sg < RED_SG[0]) | (sg > high)
    probability = float(np.sum(weights[red]))
    middle = band(sg, weights)
    watch = middle.low < WATCH_SG[0] or middle.high > (high if most_sg else WATCH_SG[1])
    light = Light.RED if probability > 0.5 else Light.AMBER if watch or probability > 0.05 else Light.GREEN
    return Board(
        key="gravity",
        title="Original gravity",
        light=light,
        probability_red=probability,
        figure=Figure("original_gravity_sg", "original gravity", "SG", middle, 4, rests_on),
        sentence=f"{middle.middle:.4f}; {RED_SG[0]:.3f} to {high:.3f} is let pass.",
        remedy="" if light is Light.GREEN else "Change the litres of wort per tonne.",
        standing="measured" if most_sg else "from memory",
        source="limit given in the enquiry" if most_sg else "usual range of distillers' wort, from memory",
    )
