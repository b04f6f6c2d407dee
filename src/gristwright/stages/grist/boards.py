"""Does the grist convert by its own enzymes? The mash decides, beside the trade's floors. See docs/boards.md."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from gristwright.basics import Band, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import either, interval, plain
from gristwright.records.remedies import Remedy, sentence_of
from gristwright.records.results import Board, Figure
from gristwright.records.streams import Grist
from gristwright.reference import csv_rows
from gristwright.stages.grist.board_floors import AMBER_SHARE, RED_SHARE, at, light_of
from gristwright.stages.grist.model import short_of_enzyme

__all__ = ["AMBER_SHARE", "RED_SHARE", "EnzymeOffer", "enzyme_board", "floors", "light_of", "share_needed_pct"]


@dataclass(frozen=True)
class EnzymeOffer:
    """The offered lot with most diastatic power, at its middle values."""

    name: str
    diastatic_power_degLintner: float
    dextrinising_units: float


def floors(cooked: bool, boiled: bool, ferment_hours: float | None = None) -> dict[str, str]:
    """The row of enzyme floors that fits the way of working: grain cooked, wort unboiled and long fermented, or else.

    Hours that are not given count as long enough.
    """
    long = ferment_hours is None or ferment_hours >= at("long_fermentation_h")
    way = "cooked and unboiled" if cooked and not boiled and long else "infusion or boiled"
    return next(row for row in csv_rows("tables/enzyme_floors.csv") if row["way"] == way)


def enzyme_board(
    grist: Grist,
    runs: Runs,
    cooked: bool,
    boiled: bool,
    ferment_hours: float | None = None,
    offer: EnzymeOffer | None = None,
    premalt_pct: float | None = None,
    diluted: bool = True,
    held_back_pct: FloatArray | None = None,
    remedies: Sequence[Remedy] = (),
) -> Board:
    """The board of enzymes of one bill.

    `held_back_pct` (members,) is the starch that the simulated mash and washback leave for want of enzyme; where no
    mash was simulated the trade's floors decide. `remedies` are those worked out in the mash.
    `offer` is the high-enzyme lot a remedy may name; `premalt_pct` is malt in the cooker [% of the grist], None where
    there is no cooker or it is not said; `diluted` says whether the bill holds grain without enzymes.
    """
    row = floors(cooked, boiled, ferment_hours)
    short = short_of_enzyme(grist, float(row["red_below_degLintner"]), float(row["red_below_DU"]))
    held = held_back_pct
    probability = runs.chance(short if held is None else held > at("held_back_red"))
    figure = Figure.of(
        "diastatic_power_degLintner",
        "diastatic power of the grist",
        "degLintner",
        grist.diastatic_power_degLintner,
        0,
        runs,
        also=(grist.dextrinising_units,) if held is None else (grist.dextrinising_units, held),
    )
    power, units = figure.band, runs.band(grist.dextrinising_units)
    easy = power.low >= float(row["green_from_degLintner"]) and units.low >= float(row["green_from_DU"])
    lumps = premalt_pct is not None and premalt_pct < at("premalt_least_pct")
    waits = None if held is None else runs.band(held)
    light = light_of(probability, easy and not lumps and (waits is None or waits.high <= at("held_back_watch")))
    helps = _remedies(power, units, row, lumps, cooked and premalt_pct is None, diluted, held is not None)
    otherwise = " ".join([*helps, *_offered(power, units, row, offer)]) or _alive(boiled)
    return Board(
        key="enzymes",
        title="Conversion by its own enzymes",
        light=light,
        probability_red=probability,
        figure=figure,
        sentence=_sentence(power, units, row) + _waits(waits, boiled),
        remedy="" if light is Light.GREEN else sentence_of(remedies, otherwise),
        remedies=() if light is Light.GREEN else tuple(remedies),
        standing=row["standing"],
        source=row["source"],
    )


def _sentence(power: Band, units: Band, row: dict[str, str]) -> str:
    return (
        f"{power.middle:.0f} degLintner and {units.middle:.0f} dextrinising units in the grist ({row['way']}); short "
        f"below {row['red_below_degLintner']} degLintner or {row['red_below_DU']} units, comfortable from "
        f"{row['green_from_degLintner']} and {row['green_from_DU']}."
    )


def _waits(held: Band | None, boiled: bool) -> str:
    """What the simulated mash says beside the floors."""
    if held is None:
        return ""
    where = "when the mash ends" if boiled else "and its washback"
    # A washback turns dextrin too: what it leaves is more than the starch of the board of starch.
    left = "is left" if boiled else "is left, as starch or dextrin,"
    return (
        f" In the simulated mash {where} {plain(held.middle, 1)} % ({interval(held, 1)}) of the starch {left} for "
        f"want of enzyme; out of order above {at('held_back_red'):g} %."
    )


def _alive(boiled: bool) -> str:
    """What helps where the floors ask for nothing and the simulated mash leaves something."""
    return "Stand longer." if boiled else "Ferment longer, or leave more enzyme alive for the washback."


def _remedies(
    power: Band, units: Band, row: dict[str, str], lumps: bool, unsaid: bool, diluted: bool, simulated: bool
) -> list[str]:
    """What helps; a pre-malt where there is too little of it, or where it is `unsaid` how much.

    Where the mash was `simulated` it says itself what more time is worth.
    """
    lines = []
    if lumps:
        span = f"{at('premalt_least_pct'):g}-{at('premalt_most_pct'):g} %"
        lines.append(
            f"Against lumps give the cooker a pre-malt of {span}, beside the malt that converts: its enzymes die."
        )
    if units.low < float(row["green_from_DU"]):
        cooker = ", or a pre-malt in the cooker" if unsaid else ""
        time = "" if simulated else "; a longer fermentation does not help"
        lines.append(f"Add malt with more alpha-amylase{cooker}{time}.")
    if power.low < float(row["green_from_degLintner"]):
        raised = "raise the share of base or high-enzyme malt" if diluted else ""
        lines.append(either(raised, "take a lot with more diastatic power"))
    return lines


def _offered(power: Band, units: Band, row: dict[str, str], offer: EnzymeOffer | None) -> list[str]:
    if offer is None:
        return []
    needed = share_needed_pct(power.low, units.low, offer, row)
    if needed is None:
        return [f"{offer.name} alone does not bring the grist to comfort."]
    if needed <= 0.0:
        return []
    return [
        f"About {math.ceil(needed):.0f} % of {offer.name} in place of the same share of the whole bill is comfortable."
    ]


def share_needed_pct(
    power_degLintner: float, dextrinising_units: float, offer: EnzymeOffer, row: dict[str, str]
) -> float | None:
    """Per cent of the bill that the offered lot must take the place of, evenly, so that both measures are comfortable.

    None when even that lot alone would not do.
    """
    pairs = (
        (power_degLintner, offer.diastatic_power_degLintner, float(row["green_from_degLintner"])),
        (dextrinising_units, offer.dextrinising_units, float(row["green_from_DU"])),
    )
    if any(there < wanted and here < wanted for here, there, wanted in pairs):
        return None
    shares = [(wanted - here) / (there - here) if here < wanted else 0.0 for here, there, wanted in pairs]
    return 100.0 * max(shares)
