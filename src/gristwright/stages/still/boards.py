"""Is the spirit still charged at a strength that still separates? See docs/still.md."""

from __future__ import annotations

from gristwright.basics import Light
from gristwright.numerics.runs import Runs
from gristwright.records.results import Board, Figure
from gristwright.records.streams import NewSpirit
from gristwright.stages.still.limits import STRONG_CHARGE_ABV_PCT, WATCH_CHARGE_ABV_PCT


def charge_board(spirit: NewSpirit, runs: Runs) -> Board:
    """The charge of the spirit still that this wash leads to."""
    figure = Figure.of(
        "charge_abv_pct", "strength of the spirit still charge", "%vol", spirit.charge_abv_pct, 1, runs, "input.plant"
    )
    charge, probability = figure.band, runs.chance(spirit.charge_abv_pct > STRONG_CHARGE_ABV_PCT)
    watch = charge.high > WATCH_CHARGE_ABV_PCT
    light = Light.RED if probability > 0.5 else Light.AMBER if watch else Light.GREEN
    return Board(
        key="charge",
        title="Spirit still charge",
        light=light,
        probability_red=probability,
        figure=figure,
        sentence=f"{charge.middle:.1f} %vol; above {WATCH_CHARGE_ABV_PCT:g} the still parts heads and tails worse, "
        f"above {STRONG_CHARGE_ABV_PCT:g} badly.",
        remedy="" if light is Light.GREEN else "Reduce the charge with water.",
        standing="common practice",
        source="working limits of the trade, no source",
    )
