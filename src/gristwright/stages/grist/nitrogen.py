"""Does the yeast find enough amino nitrogen in the wort? See docs/boards.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import Draws, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.gravity import sucrose_density_kg_m3
from gristwright.quantities.shown import either
from gristwright.records.plant import Rest
from gristwright.records.results import Board, Figure
from gristwright.records.streams import Wort
from gristwright.stages.grist.board_floors import at, floor, light_of, rest_min

# Congress mash: 50 g of malt as it is brought to 450 g, so 800 g of water beside 100 g of malt (from memory).
CONGRESS_WATER_G = 800.0
HOUSE = "input.plant"


def fan_mg_per_100g_from_congress(
    fan_mg_per_L: FloatArray, extract_fine_dry_pct: FloatArray, moisture_pct: FloatArray
) -> FloatArray:
    """Free amino nitrogen of dry malt [mg/100 g] out of that of its Congress wort [mg/L]; arrays of one shape."""
    extract_g = extract_fine_dry_pct * (100.0 - moisture_pct) / 100.0
    wort_g = CONGRESS_WATER_G + moisture_pct + extract_g
    wort_L = wort_g / sucrose_density_kg_m3(100.0 * extract_g / wort_g)
    return np.asarray(fan_mg_per_L * wort_L * 100.0 / (100.0 - moisture_pct))


def wort_fan_mg_per_L(
    shares: FloatArray, fan_mg_per_100g: FloatArray, moisture_pct: FloatArray, wort_L_per_kg: float
) -> FloatArray:
    """Free amino nitrogen of the wort [mg/L], (members,): the grist's own over the wort collected [L/kg].

    `shares` (lots,), `fan_mg_per_100g` of dry grain and `moisture_pct` (members, lots).
    """
    as_is = fan_mg_per_100g * (100.0 - moisture_pct) / 100.0
    return np.asarray(10.0 * (shares * as_is).sum(axis=-1) / wort_L_per_kg)


def reaching_the_wort(wort: Wort, rests: Sequence[Rest], draws: Draws) -> FloatArray:
    """Share (members,) of the amino nitrogen the laboratory finds that reaches this wort.

    It runs off with the extract, and a mash without a rest for the proteases sets less of it free.
    """
    rested = rest_min(rests, at("fan_rest_low_degC"), at("fan_rest_high_degC")) / at("fan_rest_min")
    run_off = wort.extract_kg_per_t / (wort.extract_kg_per_t + wort.lost_extract_kg_per_t)
    return np.asarray(run_off * draws["grist.fan_without_rest"] ** (1.0 - min(rested, 1.0)))


def nitrogen_board(
    fan_mg_per_L: FloatArray,
    original_gravity_degP: FloatArray,
    runs: Runs,
    dark_share: float,
    brewing: bool = True,
    raw: bool = True,
) -> Board:
    """Amino nitrogen of the wort against what its gravity asks for; arrays (members,), `dark_share` 0 to 1.

    `raw` says whether the bill holds raw grain that malt could take the place of.

    The floors are brewing figures. Distillers run bills of mostly raw grain below them (common practice, no source),
    so for them the board warns and never says not in order.
    """
    strong = original_gravity_degP >= at("fan_strong_degP")
    least = np.where(strong, at("fan_strong_red_mg_per_L"), at("fan_red_mg_per_L"))
    easy = np.where(strong, at("fan_strong_watch_mg_per_L"), at("fan_watch_mg_per_L"))
    probability = runs.chance(fan_mg_per_L < least)
    if not brewing:
        easy, probability = least, 0.0
    figure = Figure.of(
        "fan_mg_per_L", "free amino nitrogen of the wort", "mg/L", fan_mg_per_L, 0, runs, HOUSE, also=(least,)
    )
    light = light_of(probability, runs.band(fan_mg_per_L - easy).low >= 0.0)
    return Board(
        key="nitrogen",
        title="Nitrogen for the yeast",
        light=light,
        probability_red=probability,
        figure=figure,
        sentence=_sentence(figure.band.middle, runs.chance(strong) > 0.5, dark_share),
        remedy="" if light is Light.GREEN else _remedy(dark_share, raw),
        standing=floor("fan_red_mg_per_L").standing,
        source=f"{floor('fan_red_mg_per_L').source}; {floor('fan_watch_mg_per_L').source}",
    )


def _sentence(fan: float, strong: bool, dark_share: float) -> str:
    prefix = "fan_strong_" if strong else "fan_"
    aim = "" if strong else f", aim {at('fan_watch_mg_per_L'):.0f}-{at('fan_most_aim_mg_per_L'):.0f}"
    kind = "a very strong wort" if strong else "normal gravity"
    text = f"{fan:.0f} mg/L of free amino nitrogen; at least {at(prefix + 'red_mg_per_L'):.0f} for {kind}{aim}."
    if dark_share <= at("dark_share"):
        return text
    return f"{text} {100.0 * dark_share:.0f} % caramel and roasted grain brings little of it and ferments more slowly."


def _remedy(dark_share: float, raw: bool) -> str:
    poor = " and ".join(["raw grain"] * raw + ["dark malt"] * (dark_share > 0.0))
    pale = f"more pale malt in place of {poor}" if poor else ""
    grain = either(pale, "a lot with more amino nitrogen").removesuffix(".")
    return f"{grain}; a yeast food only where the category allows it."
