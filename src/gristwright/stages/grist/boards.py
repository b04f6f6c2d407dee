"""Does the grist convert by its own enzymes? The worse of its two enzyme measures decides. See docs/grist.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import FloatArray, Light
from gristwright.numerics.weights import band
from gristwright.records.results import Board, Figure
from gristwright.records.streams import Grist
from gristwright.reference import csv_rows
from gristwright.stages.grist.model import short_of_enzyme

AMBER_SHARE, RED_SHARE = 0.05, 0.5


def floors(cooked: bool, boiled: bool) -> dict[str, str]:
    """The row of enzyme floors that fits the way of working: raw grain cooked and wort unboiled, or all else."""
    way = "cooked and unboiled" if cooked and not boiled else "infusion or boiled"
    return next(row for row in csv_rows("tables/enzyme_floors.csv") if row["way"] == way)


def enzyme_board(grist: Grist, weights: FloatArray, cooked: bool, boiled: bool, rests_on: tuple[str, ...]) -> Board:
    """The board of enzymes of one bill."""
    row = floors(cooked, boiled)
    red_power, green_power = float(row["red_below_degLintner"]), float(row["green_from_degLintner"])
    red_units = float(row["red_below_DU"])
    short = short_of_enzyme(grist, red_power, red_units)
    probability = float(np.sum(weights[short]))
    power = band(grist.diastatic_power_degLintner, weights)
    units = band(grist.dextrinising_units, weights)
    light = light_of(probability, power.low >= green_power)
    return Board(
        key="enzymes",
        title="Conversion by its own enzymes",
        light=light,
        probability_red=probability,
        figure=Figure("diastatic_power_degLintner", "diastatic power of the grist", "degLintner", power, 0, rests_on),
        sentence=f"{power.middle:.0f} degLintner and {units.middle:.0f} dextrinising units in the grist; "
        f"short below {red_power:g} degLintner or {red_units:g} units, comfortable from {green_power:g} degLintner.",
        remedy="" if light is Light.GREEN else _remedy(units.middle < red_units),
        standing=row["standing"],
        source=row["source"],
    )


def light_of(probability_red: float, comfortable: bool) -> Light:
    """Green when comfortable and hardly ever red, red when more likely red than not."""
    if probability_red > RED_SHARE:
        return Light.RED
    return Light.GREEN if comfortable and probability_red <= AMBER_SHARE else Light.AMBER


def _remedy(short_of_liquefaction: bool) -> str:
    if short_of_liquefaction:
        return "Add malt with more alpha-amylase, or a pre-malt in the cooker; a longer fermentation does not help."
    return "Raise the share of base or high-enzyme malt, or take a lot with more diastatic power."
