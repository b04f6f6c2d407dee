"""Is the spirit still charged at a strength that still separates? See docs/still.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray, Light
from gristwright.numerics.weights import band
from gristwright.records.results import Board, Figure
from gristwright.records.streams import NewSpirit
from gristwright.stages.still.limits import STRONG_CHARGE_ABV_PCT, WATCH_CHARGE_ABV_PCT


def charge_board(spirit: NewSpirit, weights: FloatArray, rests_on: tuple[str, ...]) -> Board:
    """The charge of the spirit still that this wash leads to."""
    charge = band(spirit.charge_abv_pct, weights)
    probability = float(np.sum(weights[spirit.charge_abv_pct > STRONG_CHARGE_ABV_PCT]))
    watch = charge.high > WATCH_CHARGE_ABV_PCT
    light = Light.RED if probability > 0.5 else Light.AMBER if watch else Light.GREEN
    return Board(
        key="charge",
        title="Spirit still charge",
        light=light,
        probability_red=probability,
        figure=Figure("charge_abv_pct", "strength of the spirit still charge", "%vol", charge, 1, rests_on),
        sentence=f"{charge.middle:.1f} %vol; above {WATCH_CHARGE_ABV_PCT:g} the still parts heads and tails worse, "
        f"above {STRONG_CHARGE_ABV_PCT:g} badly.",
        remedy="" if light is Light.GREEN else "Reduce the charge with water.",
        standing="common practice",
        source="working limits of the trade, no source",
    )
