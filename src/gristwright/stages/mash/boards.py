"""Does the mash convert and ferment, is the wort within what the house can take? See docs/mash.md."""

from __future__ import annotations

import numpy as np

from gristwright.basics import Band, FloatArray, Light
from gristwright.numerics.runs import Runs
from gristwright.quantities.shown import either
from gristwright.records.results import Board, Figure
from gristwright.records.streams import Wort
from gristwright.records.ways import HOT_DEGC, OPENS_DEGC, Ways

WATCH_SG = (1.040, 1.075)
RED_SG = (1.035, 1.085)
# Starch left in the end [% of it] and alcohol that dextrins cost [% of the predicted yield]; our choice.
WATCH_LEFT_PCT, RED_LEFT_PCT = 2.0, 5.0
# Starch neither sugar nor dextrin when the mash ends [% of it] from which the washback's part is told; our choice.
TOLD_MASH_LEFT_PCT = 2.0
WATCH_DEXTRIN_PCT, RED_DEXTRIN_PCT = 2.0, 5.0
NEAR_TARGET_PCT, FAR_FROM_TARGET_PCT = 4.0, 6.0  # points of apparent attenuation; our choice
# Nearer than this the middle is the aim, and no change of the mash is called for: only the band is wide. Our choice.
ON_TARGET_PCT = 1.0
HIT = "The middle is on the aim: leave the mash as it is, and have the malts' fermentability measured."
AMBER_SHARE = 0.05
HOUSE = "input.plant"
OUR_CHOICE = "limits are our choice; the simulated mash of docs/mash_simulation.md"


def gravity_board(wort: Wort, runs: Runs, most_sg: float | None, grain_in: bool = False) -> Board:
    """Original gravity against the usual range, or against the house's own ceiling."""
    high = most_sg or RED_SG[1]
    sg = wort.original_gravity_sg
    red = (sg < RED_SG[0]) | (sg > high)
    probability = runs.chance(red)
    middle = runs.band(sg)
    watch = middle.low < WATCH_SG[0] or middle.high > (high if most_sg else WATCH_SG[1])
    light = Light.RED if probability > 0.5 else Light.AMBER if watch or probability > 0.05 else Light.GREEN
    return Board(
        key="gravity",
        title="Original gravity",
        light=light,
        probability_red=probability,
        figure=Figure.of("original_gravity_sg", "original gravity", "SG", sg, 4, runs, HOUSE),
        sentence=f"{middle.middle:.4f}; {RED_SG[0]:.3f} to {high:.3f} is let pass.",
        remedy="" if light is Light.GREEN else _gravity_remedy(middle.middle, high, grain_in, _unconverted(wort, runs)),
        standing="measured" if most_sg else "from memory",
        source="limit given in the enquiry" if most_sg else "usual range of distillers' wort, from memory",
    )


def _unconverted(wort: Wort, runs: Runs) -> bool:
    """Whether so much starch is left that a low gravity is the want of it."""
    return wort.starch_left_pct is not None and runs.band(wort.starch_left_pct).middle > RED_LEFT_PCT


def _gravity_remedy(sg: float, most_sg: float, grain_in: bool, unconverted: bool) -> str:
    """More litres for what is nearer the upper end, fewer for what is nearer the lower one: but starch first."""
    way = "more" if sg > 0.5 * (RED_SG[0] + most_sg) else "less"
    if way == "less" and unconverted:
        return "Convert the starch that is left: the gravity follows."
    return f"Mash with {way} liquor a tonne." if grain_in else f"Collect {way} wort a tonne."


def starch_board(wort: Wort, runs: Runs, ways: Ways | None = None, opening: str = "") -> Board | None:
    """Starch that the simulated mash leaves as starch; None where no mash was simulated. Arrays (members,).

    `ways` is what the mash is now, `opening` the sentence on what would open the grain of this grist in it.
    """
    if wort.starch_left_pct is None or wort.unopened_pct is None:
        return None
    left, unopened = runs.band(wort.starch_left_pct), runs.band(wort.unopened_pct)
    ended = left if wort.mash_left_pct is None else runs.band(wort.mash_left_pct)
    light, probability = _light(wort.starch_left_pct, runs, WATCH_LEFT_PCT, RED_LEFT_PCT)
    closed = unopened.high > 0.5 * left.high
    why = "most of it never opened" if closed else "it opened and was not converted"
    remedy = (opening or "Change the bill.") if closed else _converting(ways)
    return Board(
        key="starch",
        title="Starch left",
        light=light,
        probability_red=probability,
        figure=Figure.of(
            "starch_left_pct",
            "starch left, washback included",
            "% of the starch",
            wort.starch_left_pct,
            1,
            runs,
            HOUSE,
        ),
        sentence=f"{left.middle:.1f} % ({left.low:.1f} to {left.high:.1f}); out of order above {RED_LEFT_PCT:g} %"
        + _when_the_mash_ends(ended, left)
        + ("." if light is Light.GREEN else f"; {why}."),
        remedy="" if light is Light.GREEN else remedy,
        standing="estimate",
        source=OUR_CHOICE,
    )


def _when_the_mash_ends(ended: Band, left: Band) -> str:
    """What the mash hands on, where the washback is counted on for much of it."""
    if ended.middle - left.middle < TOLD_MASH_LEFT_PCT:
        return ""
    return f"; {ended.middle:.1f} % ({ended.low:.1f} to {ended.high:.1f}) when the mash ends, the rest in the washback"


def _converting(ways: Ways | None) -> str:
    """What converts starch that is open."""
    if ways is None:
        return "Bring more enzyme."
    if ways.hot:
        verb = ways.verb.capitalize()
        return f"{verb} the mash cooler: above {HOT_DEGC:g} degC the enzymes die before they are done."
    # Unboiled, the washback goes on with what a shorter stand leaves alive: there a longer one converts no more.
    malt = ways.hotter and ways.cook_degC is None
    hotter = f"{ways.verb} the mash hotter, towards {OPENS_DEGC + 0.5:g} degC" if malt else ""
    return either(hotter, "bring more enzyme", "stand longer" if ways.boiled and ways.longer else "")


def dextrin_board(
    wort: Wort,
    psy_lpa_per_t: FloatArray,
    runs: Runs,
    ways: Ways | None = None,
) -> Board | None:
    """What dextrins beyond the laboratory's cost a distiller; None where no mash was simulated. Arrays (members,)."""
    if wort.fermentable_pct is None:
        return None
    lost_pct = 100.0 * wort.dextrin_lpa_per_t / psy_lpa_per_t
    light, probability = _light(lost_pct, runs, WATCH_DEXTRIN_PCT, RED_DEXTRIN_PCT)
    lost = runs.band(lost_pct)
    return Board(
        key="dextrin",
        title="Fermentability of the mash",
        light=light,
        probability_red=probability,
        figure=Figure.of(
            "fermentable_pct",
            "fermentable part of the extract",
            "%",
            wort.fermentable_pct,
            1,
            runs,
            HOUSE,
            also=(lost_pct,),
        ),
        sentence=f"Against the laboratory's mash {lost.middle:.1f} % ({lost.low:.1f} to {lost.high:.1f}) of the "
        f"predicted yield is lost as dextrin; out of order above {RED_DEXTRIN_PCT:g} %.",
        remedy="" if light is Light.GREEN else _fermenting(ways),
        standing="estimate",
        source=OUR_CHOICE,
    )


def _fermenting(ways: Ways | None) -> str:
    """What leaves fewer dextrins behind."""
    if ways is not None and ways.cold:
        return f"{ways.verb.capitalize()} the mash hotter, towards 62 to 64 degC."
    if ways is not None and ways.cooler:
        return f"{ways.verb.capitalize()} the mash cooler, towards 63 to 64 degC."
    return either("bring malt with more diastatic power", "stand longer" if ways is not None and ways.longer else "")


def attenuation_board(
    apparent_pct: FloatArray,
    target_pct: float,
    runs: Runs,
    ways: Ways | None = None,
) -> Board:
    """A brewer's apparent attenuation against the one aimed at; `apparent_pct` (members,)."""
    off = np.abs(apparent_pct - target_pct)
    light, probability = _light(off, runs, NEAR_TARGET_PCT, FAR_FROM_TARGET_PCT)
    band = runs.band(apparent_pct)
    remedy = _fermenting(ways) if band.middle < target_pct else _less_fermenting(ways)
    if abs(band.middle - target_pct) < ON_TARGET_PCT:
        remedy = HIT
    return Board(
        key="attenuation",
        title="Attenuation aimed at",
        light=light,
        probability_red=probability,
        figure=Figure.of("apparent_attenuation_pct", "apparent attenuation", "%", apparent_pct, 1, runs, HOUSE),
        sentence=f"{band.middle:.1f} % ({band.low:.1f} to {band.high:.1f}) against {target_pct:g} % aimed at; out "
        f"of order when {FAR_FROM_TARGET_PCT:g} points off.",
        remedy="" if light is Light.GREEN else remedy,
        standing="estimate",
        source=OUR_CHOICE,
    )


def _less_fermenting(ways: Ways | None) -> str:
    """What leaves more dextrins behind; malt is not to go in hotter than it can bear."""
    hotter = shorter = ""
    if ways is not None:
        hotter = f"{ways.verb} the mash hotter, by a degree at a time" if ways.hottest_degC < HOT_DEGC - 1.0 else ""
        shorter = "cut the stand short" if ways.shorter else ""
    return either(hotter, shorter) or "Take malt with less diastatic power, or more caramel malt."


def _light(values: FloatArray, runs: Runs, watch: float, red: float) -> tuple[Light, float]:
    """The light and the probability of lying above `red`; amber where the upper end lies above `watch`."""
    probability = runs.chance(values > red)
    if probability > 0.5:
        return Light.RED, probability
    watched = probability > AMBER_SHARE or runs.band(values).high > watch
    return (Light.AMBER if watched else Light.GREEN), probability
